// The pictures that stand on the page, given to the viewer.
document.querySelectorAll(".viewer").forEach((root) => {
  const shots = [...document.querySelectorAll("figure[data-number]")];
  shots.sort((a, b) => Number(a.dataset.number) - Number(b.dataset.number));
  const frames = shots.map((shot) => ({
    label: shot.querySelector("figcaption").textContent,
    alt: shot.querySelector("img").alt,
    src: shot.querySelector("img").src,
    outline: JSON.parse(shot.dataset.outline),
  }));
  const { side, mm, words } = root.dataset;
  root.closest("[hidden]")?.removeAttribute("hidden");
  new Viewer(root, {
    frames, side: Number(side), mmPerPx: Number(mm), words: JSON.parse(words),
  });
});
