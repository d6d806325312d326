// One answer of a form. It keeps what is being typed, and tells the desk when typing pauses or the field is left.
import { h } from "vue";

const PAUSE_MS = 300;

export default {
  props: { kind: String, value: String, choices: Array, labels: Array, example: String, rows: Number, wrong: Boolean, list: String },
  emits: ["change"],
  data() {
    return { text: this.value ?? "", told: this.value ?? "", timer: null };
  },
  watch: {
    value(now) {
      this.text = this.told = now ?? "";
    },
  },
  mounted() {
    window.addEventListener("pagehide", this.tell);
  },
  beforeUnmount() {
    window.removeEventListener("pagehide", this.tell);
    this.tell();
  },
  methods: {
    write(text) {
      this.text = text;
      clearTimeout(this.timer);
      this.timer = setTimeout(this.tell, PAUSE_MS);
    },
    tell() {
      clearTimeout(this.timer);
      if (this.text === this.told) return;
      this.told = this.text;
      this.$emit("change", this.text);
    },
    now(text) {
      this.text = text;
      this.tell();
    },
    tick(word, on) {
      const words = this.text.split("\n").filter((each) => each && each !== word);
      this.now((on ? [...words, word] : words).join("\n"));
    },
    option(word, i) {
      return h("option", { value: word, key: word }, this.labels?.[i] ?? word);
    },
    ticks() {
      const chosen = this.text.split("\n");
      return h("div", { class: "ticks", role: "group" }, this.choices.map((word, i) =>
        h("label", { key: word }, [
          h("input", { type: "checkbox", checked: chosen.includes(word), onChange: (e) => this.tick(word, e.target.checked) }),
          this.labels?.[i] ?? word,
        ])));
    },
  },
  render() {
    const common = { class: this.wrong ? "wrong" : "", "aria-invalid": this.wrong ? "true" : undefined };
    if (this.kind === "ticks") return this.ticks();
    if (this.kind === "choice") {
      return h("select", { ...common, value: this.text, onChange: (e) => this.now(e.target.value) }, this.choices.map(this.option));
    }
    const typed = { ...common, value: this.text, placeholder: this.example, autocomplete: "off", spellcheck: "false", onInput: (e) => this.write(e.target.value), onBlur: this.tell };
    if (this.kind === "lines") return h("textarea", { ...typed, rows: this.rows ?? 4 });
    return h("input", { ...typed, type: this.kind ?? "text", list: this.list });
  },
};
