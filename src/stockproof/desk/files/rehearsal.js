// Draws a rehearsal and hands on what people press. What is drawn, and what it means, is worked out by the desk.
import { h } from "vue";

const SVG = "http://www.w3.org/2000/svg";
const SPEEDS = [0.25, 0.5, 1, 2, 4, 8, 16];
const KEYS = "qwertyuioasdfghjklzxcvbnm";
const TOLD = 60;
// A picture narrower than this shows the crush first; where a metre has fewer pixels than this, places have no names.
const NARROW = 640, FEW = 21;
const SIGHTS = [["crush", "Crush"], ["line", "Line"], ["yard", "Yard"]];

function made(tag, attributes, parent) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  if (parent) parent.append(element);
  return element;
}

function between(a, b, u) {
  return a + (b - a) * u;
}

function turned(a, b, u) {
  return a + (((b - a + 540) % 360) - 180) * u;
}

function on(bits, k) {
  return bits !== undefined && bits[k] === "1";
}

export default {
  props: { still: Object, first: Object },
  emits: ["act", "order", "begin", "speed", "play", "story"],
  data() {
    return {
      now: {}, told: [], panel: 0, sight: "line", full: false, scrub: null, group: 0, fault: "",
      story: "", speed: 1, playing: false, stories: [],
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
    // The picture ----------------------------------------------------------------------------------------------

    build() {
      const svg = this.$refs.svg;
      svg.replaceChildren();
      this.poses.clear();
      const defs = made("defs", {}, svg);
      made("path", { id: "stage-animal", d: this.still.animal, "vector-effect": "non-scaling-stroke" }, defs);
      const ground = made("g", { class: "ground" }, svg);
      for (const shape of this.still.shapes) made("path", { d: shape.d, class: shape.look }, ground);
      const pens = made("g", { class: "penned" }, svg);
      const standing = (slots) => slots.map(([x, y, turn]) =>
        made("use", { href: "#stage-animal", transform: `translate(${x} ${y}) rotate(${turn})`, display: "none" }, pens));
      this.receiving = standing(this.still.receiving);
      this.pens = this.still.pens.map(standing);
      this.dots = this.still.dots.map((at, k) => at && this.dot(svg, at, this.still.sensors[k]));
      if (this.still.row) this.label(svg, { text: "Sensors", pen: -1 }).classList.add("row");
      this.herd = made("g", { class: "herd" }, svg);
      this.walking = made("g", { class: "herd walking" }, svg);
      this.parts = this.still.pieces.map((piece) => this.piece(svg, piece));
      this.halos = this.still.pieces.map((piece) => made("circle", { cx: piece.mark[0], cy: piece.mark[1], r: 0.55, class: "halo", display: "none" }, svg));
      this.people = this.still.people.map((name) => this.person(svg, name));
      this.labels = this.still.words.map((word) => this.label(svg, word));
      this.place();
      this.box = [...this.still.sights[this.sight]];
      this.size();
      this.now = {};
      this.told = [];
      this.built = this.still.run;
      const early = this.early.filter((each) => each[0].run === this.built);
      this.early = [];
      for (const [change, ms] of [[this.first, 0], ...early]) this.show(change, ms);
    },
    piece(svg, piece) {
      const group = made("g", { class: `piece ${piece.look}` }, svg);
      made("title", {}, group).textContent = piece.title;
      return { group, at: null, lines: piece.closed.map(() => made("line", {}, group)) };
    },
    dot(svg, [x, y], sensor) {
      const dot = made("circle", { cx: x, cy: y, r: 0.1, class: "dot" }, svg);
      made("title", {}, dot).textContent = `${sensor.terminal} ${sensor.label}`;
      return dot;
    },
    person(svg, name) {
      const group = made("g", { class: "person" }, svg);
      made("circle", { r: 0.34, class: "ring" }, group);
      made("circle", { r: 0.26, class: "body" }, group);
      made("text", { y: 0.105, "text-anchor": "middle" }, group).textContent = name[0].toUpperCase();
      const words = made("title", {}, group);
      return { group, words, name, pose: null };
    },
    label(svg, word) {
      const text = made("text", { "text-anchor": "middle", class: word.pen < 0 ? "place" : "place pen" }, svg);
      text.textContent = word.text;
      return text;
    },
    place() {
      const row = this.$refs.svg.querySelector(".row");
      if (row) {
        row.setAttribute("x", this.still.row[0]);
        row.setAttribute("y", this.still.row[1]);
      }
      this.labels.forEach((text, k) => {
        const [x, y] = this.sight === "yard" ? this.still.words[k].whole : this.still.words[k].line;
        text.setAttribute("x", x);
        text.setAttribute("y", y);
      });
    },
    size() {
      const { clientWidth, clientHeight } = this.$refs.picture;
      if (!clientWidth || !this.box) return;
      this.$refs.svg.setAttribute("viewBox", this.box.join(" "));
      const perPixel = Math.max(this.box[2] / clientWidth, this.box[3] / clientHeight);
      this.$refs.svg.style.setProperty("--px", `${perPixel}px`);
      this.$refs.svg.classList.toggle("far", 1 / perPixel < FEW);
    },
    turnTo(sight) {
      this.sight = sight;
      this.place();
      const from = [...this.box], to = this.still.sights[sight], begun = performance.now();
      const still = matchMedia("(prefers-reduced-motion: reduce)").matches ? 1 : 450;
      const step = (at) => {
        const u = Math.min(1, (at - begun) / still), eased = u * u * (3 - 2 * u);
        this.box = from.map((v, i) => between(v, to[i], eased));
        this.size();
        if (u < 1) requestAnimationFrame(step);
      };
      requestAnimationFrame(step);
    },

    put(state) {
      Object.assign(this, state);
    },

    // What comes from the desk: only what has changed; places are reached in the time until the next -------------------

    show(change, ms) {
      if (change.run !== this.built) {
        this.early.push([change, ms]); // of a rehearsal whose picture is not here yet
        return;
      }
      const next = { ...this.now, ...change };
      delete next.animals;
      this.now = next;
      if (change.told?.length) this.told = [...this.told, ...change.told].slice(-TOLD);
      if (change.fresh) this.told = change.told ?? [];
      if (this.scrub !== null && !next.past) this.scrub = null;
      const begun = performance.now();
      for (const pose of this.poses.values()) this.rest(pose, begun);
      for (const part of this.parts) part.from = this.partAt(part, begun);
      for (const person of this.people) if (person.pose) this.rest(person.pose, begun);
      this.begun = begun;
      this.ms = ms;
      for (const [id, to] of Object.entries(change.animals ?? {})) this.move(id, to);
      if (change.parts) change.parts.forEach((at, k) => { this.parts[k].to = at; });
      if (change.crew) change.crew.forEach((to, k) => this.crewTo(k, to));
      this.flat(change);
      cancelAnimationFrame(this.frame);
      this.frame = requestAnimationFrame(this.draw);
    },
    rest(pose, at) {
      const u = this.share(at);
      pose.from = [between(pose.from[0], pose.to[0], u), between(pose.from[1], pose.to[1], u), turned(pose.from[2], pose.to[2], u)];
    },
    share(at) {
      return this.ms > 0 ? Math.min(1, Math.max(0, (at - this.begun) / this.ms)) : 1;
    },
    move(id, to) {
      const known = this.poses.get(id);
      if (to === null) {
        known?.use.remove();
        this.poses.delete(id);
        return;
      }
      const pose = known ?? { use: made("use", { href: "#stage-animal" }, this.herd), from: to };
      pose.to = to;
      pose.use.setAttribute("class", to[3]);
      this.poses.set(id, pose);
    },
    crewTo(k, [x, y, look, does]) {
      const person = this.people[k];
      const to = [x, y, 0];
      person.pose = { from: person.pose ? person.pose.from : to, to };
      person.group.setAttribute("class", `person ${look}`);
      person.words.textContent = `${person.name}: ${does}`;
    },
    flat(change) {
      const now = this.now;
      if ("waiting" in change) this.receiving.forEach((use, k) => this.seen(use, k >= this.receiving.length - now.waiting));
      if ("penned" in change) this.pens.forEach((slots, way) => slots.forEach((use, k) => this.seen(use, k < now.penned[way])));
      if ("count" in change) {
        this.still.words.forEach((word, k) => {
          if (word.pen >= 0) this.labels[k].textContent = `${word.text} · ${now.count[word.pen]}`;
        });
      }
      if ("walkers" in change) {
        this.walking.replaceChildren();
        for (const [x, y, turn] of now.walkers) made("use", { href: "#stage-animal", transform: `translate(${x} ${y}) rotate(${turn})` }, this.walking);
      }
      if ("sensors" in change) this.dots.forEach((dot, k) => dot?.setAttribute("class", on(now.sensors, k) ? "dot on" : "dot"));
      if ("moving" in change) this.parts.forEach((part, k) => part.group.classList.toggle("moves", on(now.moving, k)));
      if ("refusals" in change) {
        const parts = new Set(this.refused.map((each) => each.part));
        this.halos.forEach((halo, k) => this.seen(halo, parts.has(k)));
      }
    },
    seen(element, yes) {
      if (yes) element.removeAttribute("display");
      else element.setAttribute("display", "none");
    },
    partAt(part, at) {
      return part.to === undefined ? null : between(part.from ?? part.to, part.to, this.share(at));
    },
    draw(at) {
      const u = this.share(at);
      for (const { use, from, to } of this.poses.values()) {
        use.setAttribute("transform", `translate(${between(from[0], to[0], u).toFixed(3)} ${between(from[1], to[1], u).toFixed(3)}) rotate(${turned(from[2], to[2], u).toFixed(1)})`);
      }
      this.parts.forEach((part, k) => this.drawPart(part, this.still.pieces[k], this.partAt(part, at)));
      for (const { pose, group } of this.people) {
        if (pose) group.setAttribute("transform", `translate(${between(pose.from[0], pose.to[0], u).toFixed(3)} ${between(pose.from[1], pose.to[1], u).toFixed(3)})`);
      }
      if (u < 1) this.frame = requestAnimationFrame(this.draw);
    },
    drawPart(part, piece, at) {
      if (at === null || at === part.at) return;
      part.at = at;
      const [a, b, u] = at <= 0.5 ? [piece.closed, piece.mid, at * 2] : [piece.mid, piece.open, at * 2 - 1];
      part.lines.forEach((line, i) => {
        ["x1", "y1", "x2", "y2"].forEach((name, j) => line.setAttribute(name, between(a[i][j], b[i][j], u).toFixed(3)));
      });
    },

    // Hands ----------------------------------------------------------------------------------------------------

    press(name, by) {
      if (this.held.has(name)) return;
      this.held.set(name, by);
      this.$emit("act", ["press", name, true]);
    },
    letGo(name, by) {
      if (this.held.get(name) !== by) return;
      this.held.delete(name);
      this.$emit("act", ["press", name, false]);
    },
    letGoAll() {
      for (const [name, by] of [...this.held]) this.letGo(name, by);
    },
    keyed(event, down) {
      if (event.ctrlKey || event.altKey || event.metaKey || /^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName)) return;
      const key = event.key.toLowerCase();
      const name = Object.keys(this.keys).find((each) => this.keys[each] === key);
      if (name) {
        event.preventDefault();
        if (down && !event.repeat) this.press(name, `key ${key}`);
        if (!down) this.letGo(name, `key ${key}`);
        return;
      }
      if (!down || event.target.tagName === "BUTTON" && (key === " " || key === "enter")) return;
      if (key === " ") this.$emit("play", !this.playing);
      else if (key === "arrowright") this.$emit("order", ["next"]);
      else if (key === "arrowleft") this.$emit("order", ["look", Math.max(0, this.now.t - 5)]);
      else return;
      event.preventDefault();
    },
    back(event) {
      this.scrub = Number(event.target.value);
      clearTimeout(this.later);
      this.later = setTimeout(() => this.$emit("order", ["look", this.scrub]), 60);
    },
    fill() {
      if (document.fullscreenElement) document.exitFullscreen();
      else this.$refs.root.requestFullscreen?.();
    },
    tell() {
      this.turnTo("crush");
      this.$refs.picture.scrollIntoView({ block: "nearest" });
      this.$emit("story", this.story || this.stories[0]);
    },
    strike() {
      const group = this.still.troubles[this.group];
      const key = this.fault || group.items[0]?.[0];
      if (key) this.$emit("act", ["trouble", key, true]);
    },

    // Words round the picture --------------------------------------------------------------------------------------

    top() {
      const { still } = this;
      const choose = (change) => this.$emit("begin", change);
      return h("div", { class: "top" }, [
        h("label", {}, ["Programme", h("select", { value: still.programme, onChange: (e) => choose({ programme: e.target.value }) },
          still.programmes.map((name) => h("option", { key: name, value: name }, name)))]),
        h("label", { class: "seed" }, ["Day drawn", h("input", { type: "number", min: 0, step: 1, value: still.seed, "aria-label": "Number of the day that is drawn", onChange: (e) => choose({ seed: Number(e.target.value) }) })]),
        this.button("Begin anew", () => choose({}), { class: "plain" }),
        h("span", { class: "grow" }),
        h("div", { class: "speeds sights", role: "group", "aria-label": "What is shown" }, SIGHTS.map(([name, title]) =>
          this.button(title, () => this.turnTo(name), { key: name, "aria-pressed": String(this.sight === name) }))),
        this.button(this.full ? "Leave full screen" : "Full screen", this.fill, {}),
      ]);
    },
    button(text, act, more) {
      return h("button", { type: "button", onClick: act, ...more }, text);
    },
    caption() {
      const now = this.now;
      return h("div", { class: "caption" }, [
        h("b", { class: "clock", role: "timer", "aria-live": "off" }, now.clock),
        h("span", { class: "step" }, now.tale ? now.tale.title : !now.powered ? "without power" : now.step || "worked by hand"),
        h("span", { class: "grow" }),
        h("span", {}, [h("b", {}, now.waiting), " waiting"]),
        h("span", {}, [h("b", {}, now.inside), " in the line"]),
        h("span", {}, [h("b", {}, now.through), ` of ${this.still.head} through`]),
      ]);
    },
    verdict() {
      const { tale } = this.now;
      if (tale) return h("p", { class: tale.bad ? "says refused" : "says", role: "status" }, [h("b", {}, `Story, step ${tale.step} of ${tale.of}. `), tale.said.join(" ")]);
      const told = this.refused[0] ?? null;
      const waits = this.waits[0] ?? null;
      if (told) return h("p", { class: "says refused", role: "alert" }, [h("b", {}, `Refused: ${told.what}. `), this.because(told)]);
      if (waits) return h("p", { class: "says" }, [h("b", {}, `The program waits: ${waits.what}. `), this.because(waits)]);
      const last = this.told[this.told.length - 1];
      return h("p", { class: "says quiet" }, this.now.past ? "Looking back. Go on from here, or press a button here to try it another way." : last ? last[2] : "\u00a0");
    },
    because(refusal) {
      const words = refusal.why.map((why) => why[0].toUpperCase() + why.slice(1)).join(". ");
      const shown = refusal.shown.map(([label, terminal, yes]) => `${label}: ${yes}${terminal ? ` (${terminal})` : ""}`).join("; ");
      return [`${words}.`, shown ? h("span", { class: "shown" }, ` ${shown}`) : null];
    },
    transport() {
      const now = this.now;
      const speed = (value) => h("button", { type: "button", key: value, class: "speed", "aria-pressed": String(this.speed === value), "aria-label": `speed times ${value}`, onClick: () => this.$emit("speed", value) }, `×${value < 1 ? `1/${1 / value}` : value}`);
      return h("div", { class: "transport" }, [
        this.button(this.playing ? "Pause" : "Go on", () => this.$emit("play", !this.playing), { class: "chief" }),
        this.button("Next event", () => this.$emit("order", ["next"]), {}),
        h("div", { class: "speeds", role: "group", "aria-label": "Speed" }, SPEEDS.map(speed)),
        h("label", { class: "scrub" }, [h("span", {}, now.past ? `looking back, of ${this.clockOf(now.latest)}` : "look back"),
          h("input", { type: "range", min: 0, max: Math.max(1, now.latest), step: 0.1, value: this.scrub ?? now.t, onInput: this.back, "aria-label": "Look back to a moment", "aria-valuetext": now.clock })]),
      ]);
    },
    clockOf(seconds) {
      const s = Math.floor(seconds);
      return `${Math.floor(s / 3600)}:${String(Math.floor(s / 60) % 60).padStart(2, "0")}:${String(s % 60).padStart(2, "0")}`;
    },
    controls() {
      const panels = this.still.panels;
      const panel = panels[this.panel] ?? panels[0];
      return h("section", { class: "controls", "aria-label": "Control points" }, [
        h("div", { class: "tabs", role: "tablist" }, panels.map((each, k) =>
          h("button", { type: "button", role: "tab", key: each.name, "aria-selected": String(each === panel), onClick: () => { this.letGoAll(); this.panel = k; } }, each.title))),
        h("div", { class: "rows" }, panel.rows.map((row) => h("div", { class: "controlrow", key: row.title }, [
          h("span", { class: "title" }, row.title),
          h("div", { class: "buttons" }, row.buttons.map(this.control)),
        ]))),
        this.still.gates.length ? h("div", { class: "controlrow" }, [
          h("span", { class: "title" }, "By hand"),
          h("div", { class: "buttons" }, this.still.gates.map((gate) => {
            const open = (this.now.parts?.[gate.part] ?? 0) > 0;
            return h("button", { type: "button", key: gate.name, "aria-pressed": String(open), onClick: () => this.$emit("act", ["gate", gate.name, !open]) }, `${gate.title}: ${open ? "open" : "shut"}`);
          })),
        ]) : null,
        h("label", { class: "crew" }, [h("input", { type: "checkbox", checked: this.now.crewWorks, onChange: (e) => this.$emit("act", ["crew", "", e.target.checked]) }), "The crew works the controls"]),
      ]);
    },
    control(b) {
      const closed = on(this.now.pressed, b.at);
      if (b.switch) {
        const pulled = b.stop ? !closed : closed;
        return h("button", { type: "button", key: b.name, class: b.stop ? "stop" : "", "aria-pressed": String(pulled), "aria-label": b.label, title: `${b.label} (${b.terminal})`, onClick: () => this.$emit("act", ["turn", b.name, !closed]) }, b.stop ? (pulled ? "Stop is pressed" : "Emergency stop") : `${b.caption}: ${closed ? "on" : "off"}`);
      }
      const key = this.keys[b.name];
      const refused = this.refused.some((each) => b.name.endsWith(`.${each.motion}`));
      return h("button", {
        type: "button", key: b.name, class: ["momentary", closed ? "down" : "", refused && closed ? "refused" : ""],
        "aria-label": b.label, "aria-pressed": String(closed), title: `${b.label} (${b.terminal})`, "aria-keyshortcuts": key,
        onPointerdown: (e) => { if (e.button > 0) return; e.target.setPointerCapture?.(e.pointerId); this.press(b.name, `pointer ${e.pointerId}`); },
        onPointerup: (e) => this.letGo(b.name, `pointer ${e.pointerId}`),
        onPointercancel: (e) => this.letGo(b.name, `pointer ${e.pointerId}`),
        onLostpointercapture: (e) => this.letGo(b.name, `pointer ${e.pointerId}`),
        onContextmenu: (e) => e.preventDefault(),
        onKeydown: (e) => { if ((e.key === " " || e.key === "Enter") && !e.repeat) { e.preventDefault(); this.press(b.name, "own key"); } },
        onKeyup: (e) => { if (e.key === " " || e.key === "Enter") this.letGo(b.name, "own key"); },
        onBlur: () => this.letGo(b.name, "own key"),
      }, [b.caption, key ? h("kbd", { "aria-hidden": "true" }, key.toUpperCase()) : null]);
    },
    happening() {
      const lines = this.told.slice(-9).reverse();
      return h("section", { class: "happening", "aria-label": "What happens" }, [
        h("h2", {}, "What happens"),
        h("ol", {}, lines.map(([clock, kind, words], k) => h("li", { key: this.told.length - k, class: `kind-${kind}` }, [h("time", {}, clock), words]))),
      ]);
    },
    signals() {
      const now = this.now;
      return h("section", { class: "signals", "aria-label": "Lamps and sensors" }, [
        this.gauge(),
        h("h2", {}, "Lamps"),
        h("ul", { class: "lamps" }, this.still.lamps.map((lamp, k) => h("li", { key: lamp.terminal + lamp.label, class: [on(now.lamps, k) ? "on" : "", lamp.warns ? "warns" : ""] }, [h("i", { "aria-hidden": "true" }), h("span", {}, lamp.label), h("span", { class: "sr" }, on(now.lamps, k) ? "burns" : "dark")]))),
        h("details", {}, [h("summary", {}, "Sensors"), h("ul", { class: "lamps sensors" }, this.still.sensors.map((sensor, k) =>
          h("li", { key: sensor.label + sensor.terminal, class: on(now.sensors, k) ? "on" : "" }, [h("i", { "aria-hidden": "true" }), h("span", {}, sensor.label), h("span", { class: "terminal" }, sensor.terminal)])))]),
      ]);
    },
    gauge() {
      const { gauge } = this.still;
      const [pressure, words, pumping] = this.now.oil ?? [0, "", false];
      if (!gauge) return null;
      const share = (value) => `${(100 * Math.min(1, Math.max(0, (value - gauge.low) / (gauge.high - gauge.low)))).toFixed(1)}%`;
      return h("div", { class: "gauge" }, [
        h("div", { class: "line" }, [h("b", {}, words), h("span", {}, pumping ? "pump runs" : "pump rests")]),
        h("div", { class: "column", role: "meter", "aria-label": "Pressure in the store", "aria-valuetext": words, "aria-valuemin": gauge.low, "aria-valuemax": gauge.high, "aria-valuenow": pressure }, [
          h("div", { class: "level", style: { width: share(pressure) } }), h("div", { class: "mark", style: { left: share(gauge.cutIn) } })]),
        h("span", { class: "small" }, gauge.words),
      ]);
    },
    faults() {
      const group = this.still.troubles[this.group] ?? this.still.troubles[0];
      const struck = this.now.struck ?? [];
      return h("section", { class: "faults", "aria-label": "Faults" }, [
        h("h2", {}, "Let something fail"),
        h("div", { class: "choose" }, [
          h("select", { "aria-label": "What fails", value: String(this.group), onChange: (e) => { this.group = Number(e.target.value); this.fault = ""; } }, this.still.troubles.map((each, k) => h("option", { key: each.title, value: String(k) }, each.title))),
          h("select", { "aria-label": "How it fails", class: "which", value: this.fault || group.items[0]?.[0], onChange: (e) => { this.fault = e.target.value; } }, group.items.map(([key, words]) => h("option", { key, value: key }, words))),
          this.button("Strike", this.strike, {}),
        ]),
        h("ul", { class: "struck" }, struck.map(([key, words]) => h("li", { key }, [h("span", {}, words), this.button("Mend", () => this.$emit("act", ["trouble", key, false]), { class: "plain" })]))),
      ]);
    },
    tales() {
      if (!this.stories?.length) return null;
      return h("section", { class: "tales", "aria-label": "Stories" }, [
        h("h2", {}, "Stories of the logic check"),
        h("div", { class: "choose" }, [
          h("select", { "aria-label": "Story", class: "which", value: this.story || this.stories[0], onChange: (e) => { this.story = e.target.value; } }, this.stories.map((title) => h("option", { key: title, value: title }, title))),
          this.now.tale
            ? this.button("Back to the rehearsal", () => this.$emit("order", ["show"]), {})
            : this.button("Play", this.tell, {}),
        ]),
      ]);
    },
  },
  render() {
    return h("div", { class: ["stage", this.full ? "full" : "", this.now.past ? "past" : ""], ref: "root", tabindex: -1, "data-time": this.now.t, onKeydown: (e) => this.keyed(e, true), onKeyup: (e) => this.keyed(e, false) }, [
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
