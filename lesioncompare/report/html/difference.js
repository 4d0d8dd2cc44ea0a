// The part of the viewer that shades where two borders part, in steps of millimetres.

const STEPS_MM = [0.05, 0.1, 0.2, 0.25, 0.5, 1, 2, 5];
const BANDS = 5;

class Differing {
  // Where the later border lies outside or inside the earlier one, shaded by distance in steps.
  difference(a, b) {
    const pane = this.pane(`${this.words.difference}: ${a.label}, ${b.label}`);
    pane.photo(b).classList.add("faint");
    pane.tag(`${a.label} → ${b.label}`, "left");
    if (!a.outline || !b.outline) {
      this.say(this.words.no_outline);
      return;
    }
    const far = reach(b.outline, a.outline);
    const most = Math.max(far.out, far.within) * this.mmPerPx;
    const step = STEPS_MM.find((s) => most <= BANDS * s) ?? STEPS_MM.at(-1);
    const defs = shape(pane.svg, "defs");
    this.patterns(defs);
    this.bands(pane, defs, "gain", b, a, step);
    this.bands(pane, defs, "loss", a, b, step);
    for (const [frame, name] of [[a, "was"], [b, "is"]]) {
      shape(pane.layers, "path", { class: "under", d: pathOf(frame.outline) });
      shape(pane.layers, "path", { class: `line ${name}`, d: pathOf(frame.outline) });
    }
    this.legend(a, b, far, step);
  }

  patterns(defs) {
    const unit = this.side / 90;
    const gain = shape(defs, "pattern", {
      id: `${this.id}-gain-sign`, width: unit, height: unit, patternUnits: "userSpaceOnUse",
      patternTransform: "rotate(45)",
    });
    shape(gain, "rect", { width: unit * 0.22, height: unit, class: "sign" });
    const loss = shape(defs, "pattern", {
      id: `${this.id}-loss-sign`, width: unit, height: unit, patternUnits: "userSpaceOnUse",
    });
    shape(loss, "circle", { cx: unit / 2, cy: unit / 2, r: unit * 0.22, class: "sign" });
  }

  bands(pane, defs, kind, inThis, notThat, step) {
    const id = `${this.id}-${kind}`;
    const whole = { width: this.side, height: this.side };
    const mask = shape(defs, "mask", { id, maskUnits: "userSpaceOnUse", ...whole });
    shape(mask, "path", { d: pathOf(inThis.outline), fill: "white" });
    shape(mask, "path", { d: pathOf(notThat.outline), fill: "black" });
    const group = shape(pane.layers, "g", { mask: `url(#${id})` });
    // the distance is from the earlier border on either side
    const from = kind === "gain" ? notThat : inThis;
    shape(group, "rect", { ...whole, class: `band${BANDS}` });
    for (let k = BANDS - 1; k >= 1; k--) {
      shape(group, "path", {
        d: pathOf(from.outline), class: `band${k} thick`, "stroke-width": (2 * k * step) / this.mmPerPx,
      });
    }
    shape(group, "rect", { ...whole, fill: `url(#${id}-sign)` });
  }

  legend(a, b, far, step) {
    const mm = (px) => (px * this.mmPerPx).toFixed(2);
    const mm2 = (frame) => (areaOf(frame.outline) * this.mmPerPx ** 2).toFixed(1);
    const list = node(this.below, "ul", { class: "legend" });
    for (let k = 1; k <= BANDS; k++) {
      const item = node(list, "li");
      node(item, "span", { class: `swatch band${k}`, "aria-hidden": "true" });
      const words = k < BANDS ? this.words.up_to : this.words.beyond;
      const edge = k < BANDS ? k * step : (k - 1) * step;
      node(item, "span", {}, words.replace("{mm}", String(Number(edge.toFixed(2)))));
    }
    const told = this.words.moved
      .replace("{out}", mm(far.out)).replace("{in}", mm(far.within))
      .replace("{from}", mm2(a)).replace("{to}", mm2(b));
    node(this.below, "p", { class: "told" }, told);
  }
}
