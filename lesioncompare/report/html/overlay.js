// The part of the viewer that keeps its size on the screen: bar, ruler and mark.

const HANDLE_PX = 11;

class Overlaid extends Differing {
  overlay() {
    for (const pane of this.panes) {
      pane.over.replaceChildren();
      const unit = this.view.size / (pane.box.clientWidth || 400);
      this.bar(pane, unit);
      if (this.ruler) this.rule(pane, unit);
      if (this.mark) this.cross(pane, unit);
    }
  }

  bar(pane, unit) {
    const { x, y, size } = this.view;
    const long = round(0.3 * size * this.mmPerPx);
    const width = long / this.mmPerPx;
    const left = x + 12 * unit;
    const base = y + size - 14 * unit;
    for (const [grow, kind] of [[1.5, "white"], [0, "black"]]) {
      shape(pane.over, "rect", {
        x: left - grow * unit, y: base - (4 + grow) * unit, fill: kind,
        width: width + 2 * grow * unit, height: (5 + 2 * grow) * unit,
      });
    }
    this.words_(pane, `${Number(long.toPrecision(2))} mm`, left, base - 9 * unit, unit);
  }

  words_(pane, words, x, y, unit) {
    const text = shape(pane.over, "text", { x, y, class: "over", "font-size": 14 * unit });
    text.setAttribute("stroke-width", 3.5 * unit);
    text.textContent = words;
  }

  rule(pane, unit) {
    const [from, to] = this.ruler;
    const dx = to[0] - from[0];
    const dy = to[1] - from[1];
    const long = Math.hypot(dx, dy);
    const mm = long * this.mmPerPx;
    for (const [width, kind] of [[5, "white"], [2, "black"]]) {
      const line = { x1: from[0], y1: from[1], x2: to[0], y2: to[1] };
      shape(pane.over, "line", { ...line, stroke: kind, "stroke-width": width * unit });
    }
    const tick = round(Math.max(mm / 8, 0.05));
    for (let at = 0; at <= mm + 1e-9; at += tick) {
      const share = mm ? at / mm : 0;
      const [x, y] = [from[0] + dx * share, from[1] + dy * share];
      const [nx, ny] = long ? [(-dy / long) * 6 * unit, (dx / long) * 6 * unit] : [0, 0];
      shape(pane.over, "line", {
        x1: x - nx, y1: y - ny, x2: x + nx, y2: y + ny, stroke: "black", "stroke-width": 1.6 * unit,
      });
    }
    this.ruler.forEach((place, end) => this.handle(pane, place, end, mm, unit));
    const middle = [from[0] + dx / 2, from[1] + dy / 2 - 14 * unit];
    this.words_(pane, `${mm.toFixed(2)} mm`, ...middle, unit);
  }

  handle(pane, place, end, mm, unit) {
    const circle = shape(pane.over, "circle", {
      cx: place[0], cy: place[1], r: HANDLE_PX * unit, class: "handle", tabindex: "0",
      role: "slider", "aria-valuenow": mm.toFixed(2), "aria-valuemin": "0",
      "aria-valuemax": (this.side * this.mmPerPx * 1.5).toFixed(0),
      "aria-valuetext": `${mm.toFixed(2)} mm`, "aria-label": this.words.ruler_end,
      "stroke-width": 2 * unit, "data-end": String(end),
    });
    circle.addEventListener("keydown", (event) => {
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
      const go = way[event.key];
      if (!go) return;
      event.preventDefault();
      const step = (event.shiftKey ? 10 : 1) * unit;
      this.ruler[end] = [place[0] + go[0] * step, place[1] + go[1] * step];
      const which = this.panes.indexOf(pane);
      this.overlay();
      this.panes[which].over.querySelector(`[data-end="${end}"]`).focus();
    });
  }

  cross(pane, unit) {
    const [x, y] = this.mark;
    for (const [width, kind] of [[5, "white"], [2, "black"]]) {
      for (const [dx, dy] of [[9, 0], [0, 9]]) {
        shape(pane.over, "line", {
          x1: x - dx * unit, y1: y - dy * unit, x2: x + dx * unit, y2: y + dy * unit,
          stroke: kind, "stroke-width": width * unit,
        });
      }
      shape(pane.over, "circle", {
        cx: x, cy: y, r: 13 * unit, fill: "none", stroke: kind, "stroke-width": width * unit,
      });
    }
  }
}
