// The part of the viewer that follows hands: fingers, mouse and wheel.

class Handled extends Overlaid {
  at(pane, event) {
    const point = new DOMPoint(event.clientX, event.clientY);
    const { x, y } = point.matrixTransform(pane.svg.getScreenCTM().inverse());
    return [x, y];
  }

  // One finger or the mouse moves the picture, the dividing line or an end of the ruler; two zoom.
  moving(pane) {
    const fingers = new Map();
    let held = null;
    pane.box.addEventListener("pointerdown", (event) => {
      fingers.set(event.pointerId, event);
      if (fingers.size === 1) held = this.grip(pane, event);
      else held = { kind: "pinch" };
      if (held.kind === "none") return;
      pane.box.setPointerCapture(event.pointerId);
    });
    pane.box.addEventListener("pointermove", (event) => {
      if (!held || !fingers.has(event.pointerId)) return;
      const before = fingers.get(event.pointerId);
      if (held.kind === "pinch") this.pinch(pane, fingers, event);
      else this.drag(pane, held, before, event);
      fingers.set(event.pointerId, event);
    });
    for (const end of ["pointerup", "pointercancel"]) {
      pane.box.addEventListener(end, (event) => {
        fingers.delete(event.pointerId);
        if (!fingers.size) held = null;
      });
    }
    pane.box.addEventListener(
      "wheel",
      (event) => {
        if (!event.ctrlKey && this.view.size === this.side) return;
        event.preventDefault();
        this.zoom(Math.exp(-event.deltaY / 400), this.at(pane, event));
      },
      { passive: false },
    );
  }

  grip(pane, event) {
    const [x, y] = this.at(pane, event);
    const unit = this.view.size / pane.box.clientWidth;
    if (this.marking) {
      this.mark = [x, y];
      this.overlay();
      const which = this.mode === "side" ? this.panes.indexOf(pane) : 1;
      this.onMark(this.mark, this.pair[which]);
      return { kind: "none" };
    }
    if (this.ruler) {
      const near = this.ruler.map(([u, v]) => Math.hypot(u - x, v - y) / unit);
      const end = near[0] < near[1] ? 0 : 1;
      if (near[end] < 26) return { kind: "ruler", end };
    }
    if (this.mode === "divided") {
      const line = this.view.x + (this.view.size * this.share) / 100;
      if (this.view.size === this.side || Math.abs(line - x) / unit < 26) return { kind: "line" };
    }
    return { kind: this.view.size < this.side ? "pan" : "none" };
  }

  drag(pane, held, before, event) {
    const [x, y] = this.at(pane, event);
    if (held.kind === "ruler") {
      this.ruler[held.end] = [x, y];
      this.overlay();
    } else if (held.kind === "line") {
      const share = (100 * (x - this.view.x)) / this.view.size;
      this.divide(Math.min(100, Math.max(0, share)));
      this.range.value = String(Math.round(this.share));
    } else if (held.kind === "pan") {
      const [u, v] = this.at(pane, before);
      this.look(this.view.x + u - x, this.view.y + v - y, this.view.size);
    }
  }

  pinch(pane, fingers, event) {
    const other = [...fingers.values()].find((finger) => finger.pointerId !== event.pointerId);
    const before = fingers.get(event.pointerId);
    if (!other) return;
    const apart = (finger) => Math.hypot(finger.clientX - other.clientX, finger.clientY - other.clientY);
    const middle = { clientX: (event.clientX + other.clientX) / 2, clientY: (event.clientY + other.clientY) / 2 };
    this.zoom(apart(event) / (apart(before) || 1), this.at(pane, middle));
  }
}
