// Draws a rehearsal and hands on what people press. What is drawn, and what it means, is worked out by the desk.
import { h } from "vue";
import { around } from "rehearsal/around.js";
import { hands } from "rehearsal/hands.js";
import { picture } from "rehearsal/picture.js";

const KEYS = "qwertyuioasdfghjklzxcvbnm";
// A picture narrower than this shows the crush first.
const NARROW = 640;

export default {
  props: { still: Object, first: Object },
  emits: ["act", "order", "begin", "speed", "play", "story", "check"],
  data() {
    return {
      now: {}, told: [], panel: 0, sight: "line", full: false, scrub: null, group: 0, fault: "",
      story: 0, speed: 1, playing: false, stories: [], checking: false,
    };
  },
  computed: {
    keys() {
      const panel = this.still.panels[this.panel];
      const names = panel.rows.flatMap((row) => row.buttons).filter((b) => !b.switch).map((b) => b.name);
      return Object.fromEntries(names.map((name, i) => [name, KEYS[i]]).filter(([, key]) => key));
    },
    refused() {
      return (this.now.refusals ?? []).filter((each) => each.hand);
    },
    waits() {
      return (this.now.refusals ?? []).filter((each) => !each.hand);
    },
  },
  watch: {
    still(now) {
      if (now.run !== this.built) this.$nextTick(this.build);
    },
  },
  created() {
    this.held = new Map();
    this.poses = new Map();
    this.early = [];
  },
  mounted() {
    if (this.$refs.picture.clientWidth < NARROW) this.sight = "crush";
    this.build();
    this.sized = new ResizeObserver(() => this.size());
    this.sized.observe(this.$refs.picture);
    this.blurred = () => this.letGoAll();
    this.changed = () => { this.full = document.fullscreenElement === this.$refs.root; };
    window.addEventListener("blur", this.blurred);
    document.addEventListener("fullscreenchange", this.changed);
  },
  beforeUnmount() {
    this.sized.disconnect();
    window.removeEventListener("blur", this.blurred);
    document.removeEventListener("fullscreenchange", this.changed);
    cancelAnimationFrame(this.frame);
  },
  methods: {
    ...picture,
    ...hands,
    ...around,
    put(state) {
      Object.assign(this, state);
    },
  },
  render() {
    return h("div", { class: ["stage", this.full ? "full" : "", this.now.past ? "past" : ""], ref: "root", tabindex: -1, "data-run": this.still.run, "data-time": this.now.t, onKeydown: (e) => this.keyed(e, true), onKeyup: (e) => this.keyed(e, false) }, [
      this.top(),
      h("div", { class: "front" }, [h("div", { class: "sight" }, [
        h("div", { class: "picture", ref: "picture", tabindex: 0, role: "img", "aria-label": "The line from above, animals walking from left to right" }, [
          h("svg", { ref: "svg", "data-sight": this.sight, preserveAspectRatio: "xMidYMid meet" }),
        ]),
        this.caption(),
        this.verdict()]),
        this.transport(),
      ]),
      this.controls(),
      h("div", { class: "below" }, [this.happening(), this.signals(), h("div", {}, [this.faults(), this.tales()])]),
    ]);
  },
};
