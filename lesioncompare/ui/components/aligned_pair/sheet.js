// A drawing of our own as SVG; every word in it was escaped where it was made.
const shown = new WeakMap();

export default function ({ data, parentElement }) {
  const sheet = parentElement.querySelector(".sheet");
  if (!data?.svg || shown.get(sheet) === data.svg) return undefined;
  shown.set(sheet, data.svg);
  const parsed = new DOMParser().parseFromString(data.svg, "text/html");
  const drawing = parsed.body.firstElementChild;
  drawing.querySelectorAll("script, foreignObject").forEach((part) => part.remove());
  sheet.replaceChildren(document.adoptNode(drawing));
  sheet.setAttribute("aria-label", data.label);
  sheet.classList.toggle("small", Boolean(data.small));
  return undefined;
}
