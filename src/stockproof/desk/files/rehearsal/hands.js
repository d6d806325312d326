// What people do: buttons held by pointer or key, and orders to the rehearsal itself.

export const hands = {
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
    this.$emit("story", this.story);
  },
  strike() {
    const group = this.still.troubles[this.group];
    const key = this.fault || group.items[0]?.[0];
    if (key) this.$emit("act", ["trouble", key, true]);
  },
};
