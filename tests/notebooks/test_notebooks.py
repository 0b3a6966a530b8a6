"""The notebooks: each runs from top to bottom in a fresh kernel, without a warning, and is saved as it should be."""

from __future__ import annotations

import ast
import base64
import re
import tempfile
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import nbformat
import pytest

import hydrokit

if TYPE_CHECKING:
    from collections.abc import Iterator

FOLDER = Path(__file__).parents[2] / "notebooks"
NOTEBOOKS = sorted(path.name for path in FOLDER.glob("*.ipynb"))
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda, ast.ClassDef)
EVERY = pytest.mark.parametrize("name", NOTEBOOKS)


def read(name: str) -> Any:
    return nbformat.read(FOLDER / name, as_version=nbformat.NO_CONVERT)


def code_of(notebook: Any) -> list[str]:
    return [cell.source for cell in notebook.cells if cell.cell_type == "code"]


def pictures(notebook: Any) -> list[Any]:
    from matplotlib.image import imread

    data = [output.get("data", {}) for cell in notebook.cells for output in cell.get("outputs", [])]
    return [imread(BytesIO(base64.b64decode(each["image/png"]))) for each in data if "image/png" in each]


STRICT = """
import warnings

warnings.simplefilter("error")
warnings.filterwarnings("ignore", "For consistency across implementations", PendingDeprecationWarning)  # ipykernel's own
"""


@pytest.fixture
def apart(monkeypatch) -> Iterator[Path]:
    """Return a folder for the kernel's sockets and settings, apart from this user's; its path is short, as theirs must."""
    with tempfile.TemporaryDirectory(prefix="nb-") as folder:
        for variable in ("IPYTHONDIR", "JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR"):
            monkeypatch.setenv(variable, folder)
        yield Path(folder)


def run(notebook: Any, folder: Path) -> Any:
    """Return a notebook with its outputs; before its first cell goes one that makes every warning an error."""
    from nbclient import NotebookClient
    from traitlets.config import Config

    notebook.cells.insert(0, nbformat.v4.new_code_cell(STRICT))
    sockets = Config({"KernelManager": {"transport": "ipc", "ip": str(folder / "socket")}})
    return NotebookClient(notebook, kernel_name="python3", timeout=120, config=sockets).execute()


def test_the_four_questions_are_there() -> None:
    assert NOTEBOOKS == [
        "01-which-hose-bore.ipynb",
        "02-can-this-pump-lift-it.ipynb",
        "03-filling-twin-tanks.ipynb",
        "04-hydrokit-from-your-own-script.ipynb",
    ]


@EVERY
def test_it_is_saved_without_output(name: str) -> None:
    notebook = read(name)
    nbformat.validate(notebook)
    for cell in notebook.cells:
        assert not cell.get("outputs")
        assert cell.get("execution_count") is None


@EVERY
def test_its_title_is_a_question(name: str) -> None:
    first = read(name).cells[0]
    assert first.cell_type == "markdown"
    title = first.source.splitlines()[0]
    assert title.startswith("# ")
    assert title.endswith("?")


@EVERY
def test_it_defines_nothing_and_uses_public_names_only(name: str) -> None:
    for source in code_of(read(name)):
        for node in ast.walk(ast.parse(source)):
            assert not isinstance(node, FUNCTIONS)
            if isinstance(node, ast.Import):
                assert not any(each.name.startswith("hydrokit") for each in node.names)
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("hydrokit"):
                assert node.module == "hydrokit"
                assert {each.name for each in node.names} <= set(hydrokit.__all__)


@EVERY
def test_every_label_of_an_axis_has_its_unit(name: str) -> None:
    labels = re.findall(r'\b[xy]label="(.*?)"', "\n".join(code_of(read(name))))
    assert labels
    assert [label for label in labels if not re.search(r" \[.+\]$", label)] == []


@EVERY
@pytest.mark.slow
def test_it_runs_and_its_plots_need_no_colour(name: str, apart: Path) -> None:
    notebook = run(read(name), apart)
    streams = [output.name for cell in notebook.cells for output in cell.get("outputs", []) if "name" in output]
    assert "stderr" not in streams
    drawn = pictures(notebook)
    assert drawn
    for picture in drawn:
        assert (picture[..., 0] == picture[..., 1]).all()
        assert (picture[..., 1] == picture[..., 2]).all()
