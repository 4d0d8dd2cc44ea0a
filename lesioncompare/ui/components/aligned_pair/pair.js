
const rooms = new WeakMap();

function unpack(bytes) {
  const size = new DataView(bytes.buffer, bytes.byteOffset).getUint32(0);
  const head = JSON.parse(new TextDecoder().decode(bytes.slice(4, 4 + size)));
  let at = 4 + size;
  for (const shot of head.shots) {
    const jpeg = bytes.slice(at, at + shot.bytes);
    shot.src = URL.createObjectURL(new Blob([jpeg], { type: "image/jpeg" }));
    at += shot.bytes;
  }
  return head;
}

export default function ({ data, parentElement, setStateValue }) {
  if (!(data instanceof Uint8Array)) return undefined;
  const root = parentElement.querySelector(".viewer");
  const before = rooms.get(root);
  const head = unpack(data);
  if (before?.id === head.id) return () => before.viewer.stop();
  const { mode, share, view, outlines } = before?.viewer ?? {};
  before?.viewer.stop();
  const onMark = head.marks
    ? ([x, y], which) => setStateValue("mark", { which, x, y, at: Date.now() })
    : null;
  const viewer = new Viewer(root, {
    frames: head.shots, side: head.side, mmPerPx: head.mm, words: head.words,
    mark: head.mark, onMark, keep: { mode, share, view, outlines },
  });
  rooms.set(root, { id: head.id, viewer });
  return () => viewer.stop();
}
