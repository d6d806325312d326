// Hands a chosen text file to the desk: its name and its text.
import { h } from "vue";

const MOST_BYTES = 900000;

export default {
  props: { accept: String, label: String },
  emits: ["brought", "refused"],
  methods: {
    async read(event) {
      const file = event.target.files[0];
      event.target.value = "";
      if (!file) return;
      if (file.size > MOST_BYTES) return this.$emit("refused", `${file.name} has ${file.size} bytes; at most ${MOST_BYTES} are taken`);
      this.$emit("brought", [file.name, await file.text()]);
    },
  },
  render() {
    return h("input", { type: "file", accept: this.accept, "aria-label": this.label, onChange: this.read });
  },
};
