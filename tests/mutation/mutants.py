"""Which mutants a file has: cosmic-ray makes them, those that say nothing about the tests are left out."""

from __future__ import annotations

import ast
import random
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

SWAPS: Final = {
    "Binary": {
        "Add": ("Sub",),
        "Sub": ("Add",),
        "Mul": ("Div", "Add"),
        "Div": ("Mul",),
        "FloorDiv": ("Mul",),
        "Mod": ("Mul",),
        "Pow": ("Mul",),
        "BitAnd": ("BitOr",),
        "BitOr": ("BitAnd",),
    },
    "Comparison": {
        "Lt": ("LtE", "Gt"),
        "LtE": ("Lt", "GtE"),
        "Gt": ("GtE", "Lt"),
        "GtE": ("Gt", "LtE"),
        "Eq": ("NotEq",),
        "NotEq": ("Eq",),
        "Is": ("IsNot",),
        "IsNot": ("Is",),
    },
}
NUMBER: Final = "NumberReplacer"
OPERATORS: Final = (
    *(f"Replace{kind}Operator_{old}_{new}" for kind, swaps in SWAPS.items() for old in swaps for new in swaps[old]),
    *(f"ReplaceUnaryOperator_Delete_{name}" for name in ("USub", "Not", "Invert")),
    *("AddNot", NUMBER, "ZeroIterationForLoop", "ReplaceBreakWithContinue", "ReplaceContinueWithBreak"),
    *("ReplaceTrueWithFalse", "ReplaceFalseWithTrue", "ReplaceAndWithOr", "ReplaceOrWithAnd"),
)
"""A swap that Python itself would refuse for floats (a shift, a union) only flatters the score."""
SAFEGUARDS: Final = {"strict"}
"""Keywords that guard and do nothing else: ``zip(..., strict=True)``."""
FAR_OFF: Final = 100.0
OF_A_LINE: Final = 2
NUMBERS: Final = 0.4
"""Greatest share of changed numbers in what is drawn: tables would be all of it."""

Place = tuple[int, int]


@dataclass(frozen=True)
class Mutant:
    """One change of one file."""

    path: str
    operator: str
    occurrence: int
    line: int

    def __str__(self) -> str:
        return f"{self.path}:{self.line} {self.operator} {self.occurrence}"

    def of(self, source: str) -> str:
        """Return the changed source."""
        from cosmic_ray.mutating import mutate_code

        changed: str = mutate_code(source, _operator(self.operator), self.occurrence)
        return changed


def mutants(path: Path) -> list[Mutant]:
    """Return every mutant of a file whose place is no type, text, decoration or safeguard."""
    import parso  # noqa: F401  # before cosmic_ray, two parts of which import each other
    from cosmic_ray.ast import ast_nodes, get_ast

    source = path.read_text(encoding="utf-8")
    idle, lines = list(_idle_places(ast.parse(source))), source.splitlines()
    nodes = list(ast_nodes(get_ast(source)))
    found = []
    for operator in OPERATORS:
        places = [place for node in nodes for place in _operator(operator).mutation_positions(node)]
        found += [
            Mutant(str(path), operator, number, line)
            for number, ((line, column), _) in enumerate(places)
            if not any(first <= (line, column) < last for first, last in idle)
            and not lines[line - 1].startswith("*,", column)  # what follows is named by whoever calls: no product
        ]
    return found


def drawn(found: list[Mutant], source: str, share: float, bounds: tuple[int, int], seed: int) -> list[Mutant]:
    """Draw mutants of one file, the same for the same seed: few of one line, not all of them numbers."""
    if not found:
        return []
    dice = random.Random(f"{seed} {found[0].path}")
    least, most = bounds
    wanted = max(min(least, len(found)), min(most, round(share * len(found))))
    kept: list[Mutant] = []
    for mutant in dice.sample(found, len(found)):
        crowded = sum(mutant.line == other.line for other in kept) >= OF_A_LINE
        numbers = sum(other.operator == NUMBER for other in kept)
        tiresome = mutant.operator == NUMBER and numbers >= max(1.0, NUMBERS * wanted) and len(found) > 2 * wanted
        if len(kept) < wanted and not crowded and not tiresome and _compiles(mutant.of(source)):
            kept.append(mutant)
    return kept


def _compiles(code: str) -> bool:
    try:
        compile(code, "mutant", "exec")
    except SyntaxError:
        return False
    return True


@cache
def _operator(name: str) -> Any:
    from cosmic_ray.plugins import get_operator

    return get_operator(f"core/{name}")()


def _idle_places(tree: ast.Module) -> Iterator[tuple[Place, Place]]:
    for node in ast.walk(tree):
        for idle in _idle(node):
            yield (idle.lineno, idle.col_offset), (idle.end_lineno, idle.end_col_offset)


def _idle(node: ast.AST) -> list[Any]:
    """Return the parts of a node where a change says nothing about the tests."""
    parts: list[Any] = list(getattr(node, "decorator_list", []))
    match node:
        case ast.FunctionDef():
            arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            parts += [node.returns, *(one.annotation for one in arguments)]
        case ast.AnnAssign():
            parts += [node.annotation]
        case ast.Assign() if any(isinstance(one, ast.Name) and _is_type_or_list(one.id) for one in node.targets):
            parts += [node]
        case ast.keyword() if node.arg in SAFEGUARDS:
            parts += [node.value]
        case ast.If() if isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            parts += [node]
        case ast.JoinedStr():
            parts += [node]
        case ast.Call(func=ast.Name(id=name)) if name.lstrip("_").startswith("require"):
            parts += [one for one in ast.walk(node) if isinstance(one, ast.Constant) and _is_far_off(one.value)]
    return [part for part in parts if part is not None]


def _is_type_or_list(name: str) -> bool:
    return name == "__all__" or (name.lstrip("_")[:1].isupper() and not name.isupper())


def _is_far_off(limit: Any) -> bool:
    """Return whether a limit of what is accepted may as well be one more or less."""
    return isinstance(limit, float) and abs(limit) >= FAR_OFF
