"""Pooling on a cluster of two worker processes gives the same bytes as here, also if a worker is lost."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from builders import metric_workbook, small_season
from click.testing import CliRunner

from wood_xl.batch import NoCluster, cluster_map
from wood_xl.cli import main
from wood_xl.notes.problem import problem

BENCHMARK = Path(__file__).parents[1] / "benchmark"
pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore")]  # warnings of the cluster's own machinery


@pytest.fixture
def cluster() -> Iterator[Any]:
    from distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as found:
        yield found


@pytest.fixture
def seasons(tmp_path: Path) -> list[Path]:
    paths = []
    for number in range(6):
        data = small_season()
        data["sessions"][0]["elapsed_time"] = 80 + 5 * number
        paths.append(tmp_path / f"s{number}.xlsx")
        paths[-1].write_bytes(metric_workbook(data))
    return paths


def pooled(paths: list[Path], out: Path, *options: str) -> bytes:
    done = CliRunner().invoke(main, ["pool", *map(str, paths), "--out", str(out), *options])
    assert done.exit_code == 0, done.output
    return out.read_bytes()


def test_study_is_the_same_as_here(cluster: Any, seasons: list[Path], tmp_path: Path) -> None:
    here = pooled(seasons, tmp_path / "here.xlsx")
    there = pooled(seasons, tmp_path / "there.xlsx", "--cluster", cluster.scheduler_address)
    assert there == here


def test_a_share_of_the_thousand_is_the_same_on_one_core_on_two_and_on_a_cluster(tmp_path: Path) -> None:
    """The commands that measure a thousand, on a dozen."""
    folder, studies = tmp_path / "many", []
    subprocess.run([sys.executable, BENCHMARK / "make.py", folder, "many", "12"], check=True)
    for where in ("1", "2", "cluster"):
        out = tmp_path / f"{where}.xlsx"
        command = [sys.executable, BENCHMARK / "pool_folder.py", folder, out, where]
        done = subprocess.run(command, check=True, capture_output=True, text=True)
        assert json.loads(done.stdout)["code"] == 0
        studies.append(out.read_bytes())
    assert studies[0] == studies[1] == studies[2]


def die_once(path: Path) -> str:
    """Ends the process that works on the first path, the first time."""
    mark = path.with_suffix(".died")
    if path.stem == "s0" and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return path.stem


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_a_lost_worker_loses_nothing(cluster: Any, seasons: list[Path]) -> None:
    with cluster_map(cluster.scheduler_address) as each:
        assert list(each(die_once, seasons)) == [path.stem for path in seasons]
    assert seasons[0].with_suffix(".died").exists()
    from distributed import Client

    with Client(cluster) as client:
        assert client.submit(sum, [1, 2]).result(timeout=30) == 3


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:1", "nonsense"])
def test_where_nothing_answers_one_line_says_so(address: str, seasons: list[Path], tmp_path: Path) -> None:
    out = tmp_path / "x.xlsx"
    command = [sys.executable, "-m", "wood_xl", "pool", seasons[0], "--out", out, "--cluster", address]
    done = subprocess.run(command, check=False, capture_output=True, text=True)  # to its end: the library tells then
    assert done.returncode == 3
    assert problem("pool-no-cluster", found=address).line() in done.stderr
    assert "Traceback" not in done.stderr
    assert not out.exists()


def test_without_the_extra_one_line_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(NoCluster) as fault, cluster_map("tcp://127.0.0.1:1"):
        pass
    assert fault.value.code == "pool-no-cluster-library"
