// What stands round the picture: its words, the control points, lamps, faults and stories.
import { h } from "vue";
import { on } from "rehearsal/picture.js";

const SPEEDS = [0.25, 0.5, 1, 2, 4, 8, 16];
const SIGHTS = [["crush", "Crush"], ["line", "Line"], ["yard", "Yard"]];

export const around = {
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
    const counts = [["waiting", now.waiting], ["in the line", now.inside], [`of ${this.still.head} through`, now.through]];
    return h("div", { class: "caption" }, [
      h("b", { class: "clock", role: "timer", "aria-live": "off" }, now.clock),
      h("span", { class: now.tale ? "step tale" : "step" }, now.tale ? now.tale.title : !now.powered ? "without power" : now.step || "worked by hand"),
      h("span", { class: "grow" }),
      now.tale ? null : counts.map(([words, count]) => h("span", { key: words }, [h("b", {}, count), ` ${words}`])),
    ]);
  },
  verdict() {
    const { tale } = this.now;
    if (tale) {
      return h("p", { class: tale.bad || tale.failed.length ? "says refused" : "says", role: "status" }, [
        h("b", {}, `Story, step ${tale.step} of ${tale.of}. `), [...tale.said.slice(0, tale.failed.length ? -1 : undefined), ...tale.failed].join(" ")]);
    }
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
      h("p", { class: "small quiet how" }, "Untick to work them alone. Hold a button as long as its part is to move; what is refused says why."),
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
      h("ol", {}, lines.map(([clock, kind, words], k) => h("li", { key: this.told.length - k, class: [`kind-${kind}`, clock ? "" : "untimed"] }, [clock ? h("time", {}, clock) : null, words]))),
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
    const mend = ([key, words]) => h("li", { key }, [h("span", {}, words), this.button("Mend", () => this.$emit("act", ["trouble", key, false]), { class: "plain" })]);
    return h("section", { class: "faults", "aria-label": "Faults" }, [
      h("h2", {}, "Let something fail"),
      h("div", { class: "choose" }, [
        h("select", { "aria-label": "What fails", value: String(this.group), onChange: (e) => { this.group = Number(e.target.value); this.fault = ""; } }, this.still.troubles.map((each, k) => h("option", { key: each.title, value: String(k) }, each.title))),
        h("select", { "aria-label": "How it fails", class: "which", value: this.fault || group.items[0]?.[0], onChange: (e) => { this.fault = e.target.value; } }, group.items.map(([key, words]) => h("option", { key, value: key }, words))),
        this.button("Strike", this.strike, {}),
      ]),
      h("ul", { class: "struck" }, [...struck.map(mend), this.inStory()]),
    ]);
  },
  inStory() {
    const fault = this.now.tale?.fault;
    if (!fault) return null;
    return h("li", { key: "story", class: "story" }, [
      h("span", {}, [`In this story: ${fault.words} `, fault.instead ? h("span", { class: "quiet" }, fault.instead) : null]),
      fault.key ? this.button("Strike it in the rehearsal", () => this.$emit("act", ["trouble", fault.key, true]), { class: "plain" }) : null,
    ]);
  },
  tales() {
    const groups = [...new Set(this.stories.map(([, group]) => group))];
    const options = (group) => this.stories.filter((each) => each[1] === group).map(([key, , title]) => h("option", { key, value: String(key) }, title));
    return h("section", { class: "tales", "aria-label": "Stories" }, [
      h("h2", {}, "Stories of what must not happen"),
      this.stories.length ? h("div", { class: "choose" }, [
        h("select", { "aria-label": "Story", class: "which", value: String(this.story), onChange: (e) => { this.story = Number(e.target.value); } },
          groups.map((group) => h("optgroup", { key: group, label: group || "Nothing has failed" }, options(group)))),
        this.now.tale
          ? this.button("Back to the rehearsal", () => this.$emit("order", ["show"]), {})
          : this.button("Play", this.tell, {}),
      ]) : null,
      groups.some((group) => group) ? null : h("p", { class: "small quiet", role: "status" }, this.checking
        ? "Every part is made to fail in turn, and every state that follows is looked at. This takes a minute or two; go on meanwhile."
        : ["What can go wrong on this control when one thing fails, acted step by step. ", this.button("Find the stories", () => this.$emit("check"), { class: "plain" })]),
    ]);
  },
};
