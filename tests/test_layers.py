"""The layers of the package: imports run one way, and the core touches nothing outside itself."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "lesioncompare"
LAYERS = (
    {"science"},
    {"errors", "quantity", "terms", "settings", "records", "design", "registry", "claims"},
    {
        *("decode", "locate", "calibrate", "judge", "align", "outline"),
        *("measure", "compare", "review", "report"),
    },
    {"pipeline"},
    {"phantom", "store", "exchange", "teach"},
    {"series"},
    {"cli", "ui"},
)
VERBS = LAYERS[2]
CORE = set().union(*LAYERS[:4])
FORBIDDEN_IN_CORE = {"os", "pathlib", "time", "random", "requests", "urllib", "socket", "tempfile"}


def layer_of(room: str) -> int:
    for depth, rooms in enumerate(LAYERS):
        if room in rooms:
            return depth
    raise AssertionError(f"{room} has no layer: give it one in this test")


def modules() -> list[Path]:
    return [p for p in sorted(PACKAGE.rglob("*.py")) if p.parent != PACKAGE or p.stem != "__init__"]


def room_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports(path: Path) -> list[str]:
    tree = ast.parse(path.read_text())
    names = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} imports relatively"
            names += [f"{node.module}.{alias.name}" for alias in node.names]
    return names


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(PACKAGE)))
class TestLayers:
    def test_nothing_below_imports_anything_above(self, path: Path) -> None:
        room = room_of(path)
        for name in imports(path):
            parts = name.split(".")
            if parts[0] != "lesioncompare" or parts[1] in {room, "__version__"}:
                continue
            assert layer_of(parts[1]) <= layer_of(room), f"{room} reaches up to {name}"

    def test_verbs_never_import_each_other(self, path: Path) -> None:
        room = room_of(path)
        if room in VERBS:
            others = {f"lesioncompare.{verb}" for verb in VERBS - {room}}
            for name in imports(path):
                assert ".".join(name.split(".")[:2]) not in others, f"{room} imports {name}"

    def test_the_core_touches_no_file_clock_print_or_network(self, path: Path) -> None:
        if room_of(path) not in CORE:
            return
        used = {name.split(".")[0] for name in imports(path)}
        assert not used & FORBIDDEN_IN_CORE, f"{path} imports {used & FORBIDDEN_IN_CORE}"
        called = {
            node.func.id
            for node in ast.walk(ast.parse(path.read_text()))
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        }
        assert not called & {"print", "open", "input"}, f"{path} calls {called}"
