// Finger on the spot, drag to its edge: a circle. A tap on the whole photo goes nearer first.

class CircleTool {
  constructor(stage, give) {
    this.stage = stage;
    this.give = give;
    this.line = doubleLine(stage.work, "circle");
    this.grip = make("circle", { class: "grip" }, stage.work);
    this.circle = null;
    const { texts } = stage.data;
    makeButton(stage.bar, texts.nearer, () => stage.zoom(2, this.middle()));
    makeButton(stage.bar, texts.farther, () => stage.zoom(0.5));
    makeButton(stage.bar, texts.larger, () => this.grow(1.1));
    makeButton(stage.bar, texts.smaller, () => this.grow(1 / 1.1));
  }

  take(data) {
    this.circle = data.circle;
    this.draw();
  }

  middle() {
    return this.circle ? [this.circle.x, this.circle.y] : null;
  }

  usual() {
    return this.stage.view.width / 16;
  }

  start([x, y]) {
    const { unit } = this.stage;
    this.before = this.circle;
    this.way = "draw";
    if (this.circle) {
      const away = Math.hypot(x - this.circle.x, y - this.circle.y);
      const [gx, gy] = this.gripAt();
      if (Math.hypot(x - gx, y - gy) < 24 * unit) this.way = "resize";
      else if (away < Math.max(this.circle.radius * 0.6, 10 * unit)) this.way = "shift";
      this.offset = [this.circle.x - x, this.circle.y - y];
    }
    this.begin = [x, y];
    return true;
  }

  move([x, y]) {
    if (this.way === "shift") {
      this.circle = { ...this.circle, x: x + this.offset[0], y: y + this.offset[1] };
    } else {
      const [cx, cy] = this.way === "resize" ? this.middle() : this.begin;
      const radius = Math.max(2 * this.stage.unit, Math.hypot(x - cx, y - cy));
      this.circle = { x: cx, y: cy, radius };
    }
    this.draw();
  }

  end() {
    const { stage, circle } = this;
    if (stage.view.width > stage.data.width * 0.6) {
      stage.look(circle.x, circle.y, Math.max(4 * circle.radius, stage.data.near_half ?? 0));
    }
    this.tell();
  }

  tap([x, y]) {
    const { stage } = this;
    if (stage.view.width > stage.data.width * 0.6) {
      stage.look(x, y, stage.data.near_half ?? stage.data.width / 8);
      stage.say(stage.data.texts.now_drag);
    } else {
      this.circle = { x, y, radius: this.circle ? this.circle.radius : this.usual() };
      this.draw();
      this.tell();
    }
  }

  cancel() {
    this.circle = this.before;
    this.draw();
  }

  key(key, at) {
    if ((key === "Enter" || key === " ") && at) this.tapAt(at);
    else if (key === "+" || key === "=") this.grow(1.1);
    else if (key === "-") this.grow(1 / 1.1);
    else return false;
    return true;
  }

  tapAt([x, y]) {
    this.circle = { x, y, radius: this.circle ? this.circle.radius : this.usual() };
    this.draw();
    this.tell();
  }

  grow(times) {
    if (!this.circle) return;
    this.circle = { ...this.circle, radius: this.circle.radius * times };
    this.draw();
    this.tell();
  }

  gripAt() {
    const { x, y, radius } = this.circle;
    return [x + radius * Math.SQRT1_2, y + radius * Math.SQRT1_2];
  }

  draw() {
    const { circle } = this;
    this.grip.style.display = circle ? "" : "none";
    if (!circle) return this.line.set("");
    const { x, y, radius: r } = circle;
    this.line.set(`M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`);
    const [gx, gy] = this.gripAt();
    this.grip.setAttribute("cx", gx);
    this.grip.setAttribute("cy", gy);
    this.grip.setAttribute("r", 9 * this.stage.unit);
  }

  tell() {
    this.stage.say(this.stage.data.texts.circle_set);
    this.give("circle", { epoch: this.stage.data.epoch, ...this.circle });
  }
}
