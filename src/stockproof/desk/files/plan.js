// The yard's plan: a picture with parts to take hold of by mouse, touch or key. It draws, and tells what was done.
import { h } from "vue";

const STEP_M = 0.1;
const STEP_M2 = 0.5;
const PAUSE_MS = 500;
const TRIAL_MS = 300;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const rounded = (value, step) => Math.round(value / step) * step;

export default {
  props: { svg: String, handles: Array, corner: Array, scale: Number, chosen: String, mark: Array, epoch: Number },
  emits: ["choose", "trial", "move", "size", "wide"],
  data() {
    return { held: "", by: [0, 0], area: null, from: null, timer: null, trial: null, zoom: 1, box: [100, 60] };
  },
  watch: {
    svg() { this.measure(); },
    epoch() { this.letGo(); },
  },
  mounted() {
    this.measure();
    this.$emit("wide", Math.round(this.$el.getBoundingClientRect().width));
    this.watcher = new ResizeObserver((seen) => {
      clearTimeout(this.wide);
      this.wide = setTimeout(() => this.$emit("wide", Math.round(seen[0].contentRect.width)), 200);
    });
    this.watcher.observe(this.$el);
  },
  beforeUnmount() {
    this.watcher.disconnect();
  },
  computed: {
    part() { return this.handles.find((each) => each.id === this.chosen); },
    busy() { return this.by[0] !== 0 || this.by[1] !== 0 || this.area !== null; },
    says() {
      if (!this.part) return "";
      if (this.area !== null) return `${this.part.label}: ${this.area.toFixed(1)} m²`;
      if (!this.busy) return "";
      const way = (metres, ahead, behind) => (metres ? `${Math.abs(metres).toFixed(1)} m ${metres > 0 ? ahead : behind}` : "");
      return `${this.part.label}: ${[way(this.by[0], "right", "left"), way(this.by[1], "up", "down")].filter(Boolean).join(", ")}`;
    },
  },
  methods: {
    measure() {
      const found = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(this.svg);
      if (found) this.box = [Number(found[1]), Number(found[2])];
    },
    onPaper(at) { return [(at[0] - this.corner[0]) * this.scale, (this.corner[1] - at[1]) * this.scale]; },
    onGround(event) {
      const seen = this.$refs.over.getBoundingClientRect();
      const k = this.box[0] / seen.width / this.scale;
      return [this.corner[0] + (event.clientX - seen.left) * k, this.corner[1] - (event.clientY - seen.top) * k];
    },
    letGo() {
      clearTimeout(this.timer);
      clearTimeout(this.trial);
      this.trial = this.from = this.area = null;
      this.by = [0, 0];
    },
    choose(part) {
      if (part.id !== this.chosen) {
        this.send();
        this.$emit("choose", part.id);
      }
    },
    press(part, event) {
      if (event.button) return;
      if (event.pointerType === "touch" && part.id !== this.chosen) return;
      this.choose(part);
      this.from = { at: this.onGround(event), id: part.id, grip: null };
      event.target.setPointerCapture(event.pointerId);
    },
    grip(part, event) {
      if (event.button) return;
      event.stopPropagation();
      const middle = this.middle(part.ring);
      this.from = { at: this.onGround(event), id: part.id, grip: middle, reach: this.away(this.onGround(event), middle) };
      event.target.setPointerCapture(event.pointerId);
    },
    drag(event) {
      if (!this.from) return;
      const now = this.onGround(event);
      if (this.from.grip) {
        const share = this.away(now, this.from.grip) / this.from.reach;
        this.area = Math.max(STEP_M2, rounded(this.part.area * share * share, STEP_M2));
      } else {
        this.by = [rounded(now[0] - this.from.at[0], STEP_M), rounded(now[1] - this.from.at[1], STEP_M)];
      }
      this.tellTrial();
    },
    drop() {
      if (!this.from) return;
      this.from = null;
      this.send();
    },
    key(part, event) {
      const arrow = ARROWS[event.key];
      if (event.key === "Enter" || event.key === " ") { event.preventDefault(); this.busy ? this.send() : this.choose(part); return; }
      if (event.key === "Escape") return this.letGo();
      if (!arrow) return;
      event.preventDefault();
      this.choose(part);
      if (event.shiftKey && part.area !== null) {
        this.area = Math.max(STEP_M2, (this.area ?? part.area) + (arrow[0] + arrow[1]) * STEP_M2);
      } else if (!event.shiftKey) {
        this.by = [rounded(this.by[0] + arrow[0] * STEP_M, STEP_M), rounded(this.by[1] + arrow[1] * STEP_M, STEP_M)];
      }
      this.tellTrial();
      clearTimeout(this.timer);
      this.timer = setTimeout(this.send, PAUSE_MS);
    },
    tellTrial() {
      if (this.trial || !this.busy) return;
      this.trial = setTimeout(() => {
        this.trial = null;
        if (this.busy && this.chosen) this.$emit("trial", { id: this.chosen, by: this.by, area: this.area });
      }, TRIAL_MS);
    },
    send() {
      clearTimeout(this.timer);
      clearTimeout(this.trial);
      this.trial = null;
      if (!this.busy || !this.chosen) return;
      if (this.area !== null) this.$emit("size", { id: this.chosen, area: this.area });
      else this.$emit("move", { id: this.chosen, by: this.by });
    },
    middle(ring) { return [0, 1].map((i) => ring.reduce((sum, at) => sum + at[i], 0) / ring.length); },
    away(a, b) { return Math.hypot(a[0] - b[0], a[1] - b[1]); },
    points(ring) { return ring.map((at) => this.onPaper(at).map((mm) => mm.toFixed(2)).join(",")).join(" "); },
    shape(part) {
      const chosen = part.id === this.chosen;
      return h("polygon", {
        key: part.id, points: this.points(part.ring), class: ["part", part.kind, { chosen }], tabindex: 0, role: "button",
        "aria-label": part.says, "aria-pressed": chosen ? "true" : "false",
        onPointerdown: (e) => this.press(part, e), onPointermove: this.drag, onPointerup: this.drop, onPointercancel: this.letGo,
        onClick: () => this.choose(part), onKeydown: (e) => this.key(part, e), onBlur: this.send,
      });
    },
    ghosts() {
      if (!this.part || !this.busy) return [];
      if (this.area !== null) {
        const grown = Math.sqrt(this.area / this.part.area);
        const middle = this.middle(this.part.ring);
        return [h("polygon", { class: "ghost", points: this.points(this.part.ring.map((at) => at.map((x, i) => middle[i] + (x - middle[i]) * grown))) })];
      }
      const going = this.part.kind === "line" ? this.handles.filter((each) => ["line", "part"].includes(each.kind)) : [this.part];
      return going.map((each) => h("polygon", { class: "ghost", points: this.points(each.ring.map((at) => [at[0] + this.by[0], at[1] + this.by[1]])) }));
    },
    grips() {
      if (!this.part || this.part.area === null || this.busy) return [];
      const [x, y] = this.onPaper(this.part.ring[2]);
      const side = 3.4;
      return [h("rect", {
        class: "grip", x: x - side / 2, y: y - side / 2, width: side, height: side, "aria-hidden": "true",
        onPointerdown: (e) => this.grip(this.part, e), onPointermove: this.drag, onPointerup: this.drop, onPointercancel: this.letGo,
      })];
    },
    marked() {
      if (!this.mark) return [];
      const [cx, cy] = this.onPaper(this.mark);
      return [h("circle", { class: "mark", cx, cy, r: 5 })];
    },
    bar() {
      const metres = [1, 2, 5, 10, 20, 50].find((each) => (each * this.scale) / this.box[0] > 0.1) ?? 50;
      return h("div", { class: "bar", style: { width: `${(100 * metres * this.scale) / this.box[0]}%` } }, `${metres} m`);
    },
    zoomed(times) {
      this.zoom = Math.min(4, Math.max(1, this.zoom * times));
    },
  },
  render() {
    const tools = h("div", { class: "tools" }, [
      h("button", { type: "button", "aria-label": "Larger", onClick: () => this.zoomed(1.5) }, "+"),
      h("button", { type: "button", "aria-label": "Smaller", disabled: this.zoom === 1, onClick: () => this.zoomed(1 / 1.5) }, "−"),
      h("span", { class: "says", role: "status" }, this.says),
    ]);
    // the line lies under everything else, or it would be taken hold of first
    const order = [...this.handles].sort((a, b) => (b.kind === "line") - (a.kind === "line"));
    const over = h("svg", { ref: "over", class: "over", viewBox: `0 0 ${this.box[0]} ${this.box[1]}` }, [
      ...order.map(this.shape), ...this.ghosts(), ...this.marked(), ...this.grips(),
    ]);
    const paper = h("div", { class: "paper", style: { width: `${100 * this.zoom}%` } }, [h("div", { class: "picture", innerHTML: this.svg }), over, this.bar()]);
    return h("div", { class: "yardplan" }, [tools, h("div", { class: "window" }, [paper])]);
  },
};
