"""The study ``sweep``: its answer, its files, its interruptions."""

from __future__ import annotations

import csv
import json
import pickle
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.errors import InputError, MissingExtra, OutputError, RangeError, SolverError
from hydrokit.files import demonstration
from hydrokit.studies import check, sweep
from hydrokit.studies import sweeping as module
from hydrokit.studies.variants import swept as swept_module

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from hydrokit.rig import Rig

BORE, HEIGHT = "lines.intake.delivery-hose.bore", "lines.intake.lift-pump.height"
FEW = {BORE: "8 mm, 12.5 mm", HEIGHT: "1 m to 5 m in 5"}
MANY = {"lines.lift.suction.bore": "30 mm to 50 mm in 20", "lines.lift.suction.length": "2 m to 20 m in 15"}
_CHUNK = 64
CHUNKS = -(-20 * 15 // _CHUNK)


@pytest.fixture
def small_chunks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_CHUNK", _CHUNK)


@pytest.fixture(scope="module")
def wide(ten_rigs: dict[str, Rig]) -> Rig:
    return ten_rigs["wide"]


@pytest.fixture
def whole(tmp_path: Path, wide: Rig, small_chunks: None) -> bytes:
    """Return the file of a sweep that nobody interrupts."""
    del small_chunks
    path = tmp_path / "whole.csv"
    sweep(wide, MANY, out=path)
    return path.read_bytes()


def test_the_answer() -> None:
    answer = sweep(demonstration(), FEW)
    assert (answer.variants, answer.varied) == (10, (BORE, HEIGHT))
    assert [tuple(each.value for each in row.settings) for row in answer.rows] == [
        (bore, height) for bore in (0.008, 0.0125) for height in (1.0, 2.0, 3.0, 4.0, 5.0)
    ]
    assert [row.variant for row in answer.rows] == [*range(1, 11)]
    counts = (answer.holding, answer.close, answer.unknown, answer.failing, answer.unsolved)
    assert sum(counts) == 10
    assert counts == tuple(
        sum(row.verdict is verdict for row in answer.rows)
        for verdict in (Verdict.HOLDS, Verdict.CLOSE, Verdict.UNKNOWN, Verdict.FAILS, None)
    )
    ranked = sorted(answer.rows, key=lambda row: (row.failing, -(row.flow or 0.0), row.variant))
    assert answer.best == tuple(ranked)
    assert (answer.least_flow, answer.most_flow) == (
        min(row.flow or 0.0 for row in answer.rows),
        max(row.flow or 0.0 for row in answer.rows),
    )


def test_the_findings_are_those_of_the_best_variant() -> None:
    answer = sweep(demonstration(), FEW)
    best = {each.place: each.value for each in answer.best[0].settings}
    alone = check(demonstration(), changed=best)
    assert [(each.rule, each.place, each.verdict) for each in answer.findings] == [
        (each.rule, each.place, each.verdict) for each in alone.findings
    ]
    assert answer.verdict is alone.verdict


def test_how_each_value_does_and_what_decides_add_up() -> None:
    answer = sweep(demonstration(), FEW)
    for address in (BORE, HEIGHT):
        own = [each for each in answer.values if each.setting.place == address]
        assert sum(each.variants for each in own) == 10
        assert sum(each.kept for each in own) == answer.kept
        for each in own:
            flows = [
                row.flow for row in answer.rows if each.setting in row.settings and row.verdict is not Verdict.FAILS
            ]
            assert each.kept == len(flows)
            assert each.most_flow == max(flows, default=None)
    assert sum(each.variants for each in answer.limits) == answer.failing > 0


@pytest.mark.slow
def test_other_forms_of_the_answer(tmp_path: Path) -> None:
    answer = sweep(demonstration(), FEW, out=tmp_path / "a.csv")
    kept = sweep(demonstration(), FEW)
    with (tmp_path / "a.csv").open(encoding="utf-8", newline="") as file:
        head, *rows = csv.reader(file)
    frame = kept.to_frame()
    assert [name for name in head if name != "steps"] == [name for name in frame if name != "fill_time [s]"]
    assert frame[f"{BORE} [m]"].tolist() == [float(row[head.index(f"{BORE} [m]")]) for row in rows]
    assert frame["flow [m^3/s]"].tolist() == [float(row[head.index("flow [m^3/s]")]) for row in rows]
    assert (answer.rows, answer.file) == ((), str(tmp_path / "a.csv"))
    by_value = kept.to_frame("values")
    assert [*by_value] == ["place", "value", "unit", "variants", "kept", "most_flow [m^3/s]"]
    assert by_value["value"].tolist() == [0.008, 0.0125, 1.0, 2.0, 3.0, 4.0, 5.0]
    assert set(by_value["unit"]) == {"m"}
    assert answer.best == kept.best
    assert len(answer.to_frame()) == 10
    data = json.loads(kept.to_json())
    assert data["rows"][0]["settings"][0] == {
        "place": BORE, "dimension": "length", "value": {"value": 0.008, "unit": "m"},
    }  # fmt: skip
    assert "12.5 mm" in kept._repr_html_()


def test_values_set_in_every_variant_and_another_mode() -> None:
    answer = sweep(demonstration(), {"outlets.tap.height": [2.0, 2.3]}, "tap", changed={"tanks.near.level": 0.3})
    assert answer.mode == "tap"
    alone = check(demonstration(), "tap", changed={"tanks.near.level": 0.3, "outlets.tap.height": 2.0})
    assert answer.rows[0].flow == pytest.approx(alone.flow, rel=1e-10)
    assert [arrival.place for arrival in answer.rows[0].arrivals] == ["outlets.tap"]


def _executors() -> dict[str, Callable[[], Any]]:
    return {"threads": lambda: ThreadPoolExecutor(3), "processes": lambda: ProcessPoolExecutor(1, get_context("spawn"))}


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["threads", "processes"])
def test_the_file_is_the_same_whoever_works_it_out(tmp_path: Path, wide: Rig, whole: bytes, kind: str) -> None:
    with _executors()[kind]() as executor:
        sweep(wide, MANY, out=tmp_path / "a.csv", executor=executor, ahead=3)
    assert (tmp_path / "a.csv").read_bytes() == whole


def test_whatever_takes_work_is_an_executor() -> None:
    class Here:
        """Does work at once, and is no relation of the executors of ``concurrent.futures``."""

        done = 0

        def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
            promise: Future[Any] = Future()
            promise.set_result(fn(*args, **kwargs))
            self.done += 1
            return promise

    here = Here()
    assert sweep(demonstration(), {"outlets.tap.height": [2.0, 2.3]}, "tap", executor=here).variants == 2
    assert here.done == 1
    with pytest.raises(RangeError, match="executor: found 4, expected an Executor or None"):
        sweep(demonstration(), {"outlets.tap.height": [2.0]}, "tap", executor=4)  # type: ignore[arg-type]


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore::DeprecationWarning:distributed", "ignore::ResourceWarning")
def test_the_file_is_the_same_on_a_cluster(tmp_path: Path, wide: Rig, whole: bytes) -> None:
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None, protocol="inproc"
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        sweep(wide, MANY, out=tmp_path / "a.csv", executor=client.get_executor())
    assert (tmp_path / "a.csv").read_bytes() == whole


class Interrupted(KeyboardInterrupt):
    pass


def _stop_after(chunks: int) -> Callable[[float], None]:
    def progress(share: float) -> None:
        if share >= chunks / CHUNKS - 1e-9:
            raise Interrupted

    return progress


@pytest.mark.parametrize("form", ["csv", "jsonl", "parquet"])
def test_an_interrupted_sweep_goes_on_and_gives_the_same_file(
    tmp_path: Path, wide: Rig, small_chunks: None, monkeypatch: pytest.MonkeyPatch, form: str
) -> None:
    del small_chunks
    path, again = tmp_path / f"a.{form}", tmp_path / f"b.{form}"
    answer = sweep(wide, MANY, out=path)
    with pytest.raises(Interrupted):
        sweep(wide, MANY, out=again, progress=_stop_after(2))
    assert not again.exists()
    worked: list[int] = []
    plain = module.swept

    def watched(question: Any, first: int, last: int) -> Any:
        worked.append(first)
        return plain(question, first, last)

    monkeypatch.setattr(module, "swept", watched)
    shares: list[float] = []
    resumed = sweep(wide, MANY, out=again, progress=shares.append)
    assert again.read_bytes() == path.read_bytes()
    assert sorted(path.iterdir() if path.is_dir() else tmp_path.iterdir()) == [path, again]
    assert worked == [0, 2 * _CHUNK, 3 * _CHUNK, 4 * _CHUNK]  # the first variant is always tried first
    assert shares == pytest.approx([(done + 1) / CHUNKS for done in range(CHUNKS)])
    assert (resumed.best, resumed.values, resumed.limits, resumed.trust) == (
        answer.best, answer.values, answer.limits, answer.trust,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("other", "differs"),
    [
        ({"variation": {**MANY, "lines.lift.suction.length": "2 m to 21 m in 15"}}, "variation"),
        ({"variation": dict(reversed(MANY.items()))}, "order of the variation"),
        ({"changed": {"site.altitude": 10.0}}, "values set"),
        ({"fill_time": True}, "columns"),
    ],
)
def test_chunks_of_another_sweep_are_refused(
    tmp_path: Path, wide: Rig, small_chunks: None, other: dict[str, Any], differs: str
) -> None:
    del small_chunks
    path = tmp_path / "a.csv"
    with pytest.raises(Interrupted):
        sweep(wide, MANY, out=path, progress=_stop_after(1))
    asked = {"variation": MANY, **other}
    with pytest.raises(InputError, match=f"differs in.*{differs}") as caught:
        sweep(wide, **asked, out=path)
    assert len(caught.value.mistakes) == 1
    sweep(wide, **asked, out=path, restart=True)
    assert list(tmp_path.iterdir()) == [path]


def test_chunks_of_another_rig_and_version_are_refused(
    tmp_path: Path, wide: Rig, ten_rigs: dict[str, Rig], small_chunks: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    del small_chunks
    path = tmp_path / "a.csv"
    height = {"site.altitude": "0 m to 1000 m in 300"}
    with pytest.raises(Interrupted):
        sweep(wide, height, out=path, progress=_stop_after(1))
    with pytest.raises(InputError, match=r"differs in:.*rig"):
        sweep(ten_rigs["high"], height, out=path)
    monkeypatch.setattr("hydrokit.studies.variants.made_of.version", lambda _: "99.0")
    with pytest.raises(InputError, match=r"differs in:.*hydrokit"):
        sweep(wide, height, out=path)


def test_a_file_that_is_there(tmp_path: Path, wide: Rig) -> None:
    path = tmp_path / "a.csv"
    path.write_text("old")
    with pytest.raises(OutputError, match="exists already"):
        sweep(wide, {"site.altitude": [0.0, 10.0]}, out=path)
    assert [path.read_text(), *tmp_path.iterdir()] == ["old", path]
    sweep(wide, {"site.altitude": [0.0, 10.0]}, out=path, force=True)
    assert path.read_text().count("\n") == 3


def test_more_than_an_answer_holds_goes_to_a_file(wide: Rig) -> None:
    with pytest.raises(InputError, match="20000 variants and no file"):
        sweep(wide, {"site.altitude": "0 m to 3000 m in 20000"})


@pytest.mark.parametrize(("name", "value"), [("shown", 0), ("ahead", 0), ("shown", 2.5)])
def test_whole_numbers_are_wanted(wide: Rig, name: str, value: float) -> None:
    with pytest.raises(InputError, match=name):
        sweep(wide, {"site.altitude": [0.0]}, **{name: value})


def test_parquet_without_its_library(tmp_path: Path, wide: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "pyarrow", None)
    with pytest.raises(MissingExtra):
        sweep(wide, {"site.altitude": [0.0]}, out=tmp_path / "a.parquet")
    assert list(tmp_path.iterdir()) == []


def _never(rig: Rig, mode: str, variation: dict[str, Any]) -> Any:
    if np.any(np.asarray(variation["site.altitude"]) > _never.above):  # type: ignore[attr-defined]
        raise SolverError("the network did not settle")
    return plain_solve(rig, mode, variation)


plain_solve = swept_module.solve


def test_variants_that_do_not_settle_are_told(tmp_path: Path, wide: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_never, "above", 1500.0, raising=False)
    monkeypatch.setattr(swept_module, "solve", _never)
    answer = sweep(wide, {"site.altitude": "0 m to 3000 m in 4"})
    assert (answer.unsolved, answer.rows[3].verdict, answer.rows[3].flow) == (2, None, None)
    assert any("2 of 4 variants" in text for text in answer.trust.unknown)
    assert answer.to_frame()["flow [m^3/s]"].isna().tolist() == [False, False, True, True]
    sweep(wide, {"site.altitude": "0 m to 3000 m in 4"}, out=tmp_path / "a.csv")
    with (tmp_path / "a.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["verdict"] == "unsolved" for row in rows] == [False, False, True, True]
    assert {rows[3][name] for name in rows[3] if name not in {"variant", "site.altitude [m]", "verdict"}} == {""}


def test_no_variant_settles(wide: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_never, "above", -1.0, raising=False)
    monkeypatch.setattr(swept_module, "solve", _never)
    with pytest.raises(SolverError, match="none of 4 variants"):
        sweep(wide, {"site.altitude": "0 m to 3000 m in 4"})


def test_the_answer_pickles() -> None:
    answer = sweep(demonstration(), {BORE: "8 mm, 10 mm"})
    assert pickle.loads(pickle.dumps(answer)) == answer
