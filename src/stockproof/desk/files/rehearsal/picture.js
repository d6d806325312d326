// The picture: the plan that stands still, and animals, people and parts that go where the desk says, in the time until
// it says the next.

const SVG = "http://www.w3.org/2000/svg";
// Where a metre has fewer pixels than this, places have no names.
const FEW = 21;
const TOLD = 60;
// A name nearer than this to the edge of what is shown would be cut. [m]
const EDGE = 0.4;

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

export function on(bits, k) {
  return bits !== undefined && bits[k] === "1";
}

export const picture = {
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
      row.setAttribute("text-anchor", "end");
      row.setAttribute("x", this.still.row[0]);
      row.setAttribute("y", this.still.row[1]);
    }
    const [left, top, wide, high] = this.still.sights[this.sight];
    this.labels.forEach((text, k) => {
      const [x, y] = this.sight === "yard" ? this.still.words[k].whole : this.still.words[k].line;
      this.seen(text, x > left + EDGE && x < left + wide - EDGE && y > top + EDGE && y < top + high - EDGE);
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

  // What comes from the desk: only what has changed

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
    if (change.crew) this.people.forEach((person, k) => this.crewTo(k, change.crew[k]));
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
  crewTo(k, to) {
    const person = this.people[k];
    this.seen(person.group, to !== undefined);
    if (to === undefined) {
      person.pose = null;
      return;
    }
    const [x, y, look, does] = to;
    person.pose = { from: person.pose ? person.pose.from : [x, y, 0], to: [x, y, 0] };
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
    if ("refusals" in change || "tale" in change) {
      const parts = new Set([...this.refused.map((each) => each.part), ...(now.tale?.parts ?? [])]);
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
};
