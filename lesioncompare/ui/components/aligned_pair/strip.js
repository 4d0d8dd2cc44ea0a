const shown = new WeakMap();

export default function ({ data, parentElement }) {
  if (!(data instanceof Uint8Array)) return undefined;
  const size = new DataView(data.buffer, data.byteOffset).getUint32(0);
  const head = JSON.parse(new TextDecoder().decode(data.slice(4, 4 + size)));
  const list = parentElement.querySelector(".strip");
  if (shown.get(list) === head.id) return undefined;
  shown.set(list, head.id);
  list.replaceChildren();
  list.setAttribute("tabindex", "0");
  list.setAttribute("aria-label", head.label);
  let at = 4 + size;
  for (const shot of head.shots) {
    const item = document.createElement("li");
    const image = document.createElement("img");
    image.alt = shot.alt;
    if (shot.bytes) {
      const jpeg = data.slice(at, at + shot.bytes);
      image.src = URL.createObjectURL(new Blob([jpeg], { type: "image/jpeg" }));
      item.appendChild(image);
    }
    const label = document.createElement("span");
    label.textContent = shot.label;
    item.appendChild(label);
    list.appendChild(item);
    at += shot.bytes;
  }
  list.scrollLeft = list.scrollWidth;
  return undefined;
}
