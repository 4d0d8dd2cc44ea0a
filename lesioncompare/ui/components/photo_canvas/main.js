// A photo to look at, and what else may lie over it.

class LookTool {
  constructor(stage) {
    this.stage = stage;
    this.line = doubleLine(stage.work, "outline");
    const { texts } = stage.data;
    makeButton(stage.bar, texts.nearer, () => stage.zoom(2));
    makeButton(stage.bar, texts.farther, () => stage.zoom(0.5));
    makeButton(stage.bar, texts.whole, () => stage.whole());
  }

  take(data) {
    this.line.set(asPath(data.outline));
  }

  start() {
    return false; // the finger moves the photo
  }

  tap() {}

  key(key, at) {
    if (key === "+" || key === "=") this.stage.zoom(1.5, at);
    else if (key === "-") this.stage.zoom(1 / 1.5, at);
    else return false;
    return true;
  }

  draw() {}
}

const TOOLS = { look: LookTool, circle: CircleTool, mend: MendTool };
const stages = new WeakMap();

export default function (component) {
  const { data, parentElement, setStateValue } = component;
  if (data instanceof Uint8Array) {
    receive(data);
    return;
  }
  if (!data) return;
  const root = parentElement.querySelector(".root");
  let stage = stages.get(root);
  if (!stage) {
    stage = new Stage(root);
    stages.set(root, stage);
  }
  stage.give = setStateValue;
  const anew = stage.epoch !== data.epoch || stage.toolName !== data.tool || stage.id !== data.id;
  stage.show(data);
  if (stage.toolName !== data.tool) {
    stage.bar.replaceChildren();
    stage.work.replaceChildren();
    stage.tool = new TOOLS[data.tool](stage, (name, value) => stage.give(name, value));
    stage.svg.dataset.tool = data.tool;
    stage.toolName = data.tool;
  }
  stage.epoch = data.epoch;
  if (anew || data.tool !== "circle") stage.tool.take(data, anew);
}
