"""Deliberate faults, one line each, and the tests that must notice them; not collected as a test.

Each fault goes into a copy of the package, and only the tests that were asked for are run on it:

    python tests/mutation/faults.py                          # the worked season, then the tests that each fault names
    python tests/mutation/faults.py --tests tests/worked     # one selection for all faults
    python tests/mutation/faults.py --own                    # only the tests that each fault names
    python tests/mutation/faults.py --topic money --topic plan
    python tests/mutation/faults.py --list

A fault that no test notices, or whose old text does not stand in its file exactly once, ends the run with 1.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("wood_xl", "tests", "demo", "templates", "pyproject.toml", "README.md", "DEVELOPERS.md")
WORKED = "tests/worked"
CAUGHT = 1  # pytest: some tests failed
BROKEN = 2  # pytest: a file could not be imported, which is no proof that a figure is tested


class Fault(NamedTuple):
    """One wrong line.

    tests: those of its topic, beside the worked season.
    """

    name: str
    topic: str
    file: str
    old: str
    new: str
    tests: tuple[str, ...]


COST = ("tests/unit/test_calc_cost.py",)
MONEY = ("tests/unit/test_study_money.py",)
HELD = ("tests/unit/test_held_tools.py", "tests/unit/test_bought_wood.py")
STUDY = ("tests/unit/test_study.py",)
WOOD = ("tests/unit/test_calc_quantity.py",)
HEAT = ("tests/unit/test_heat_study.py",)
EXPOSURE = ("tests/unit/test_calc_exposure.py",)
BODY = ("tests/unit/test_body.py",)
EFFORT = ("tests/unit/test_calc_effort.py",)
STRAIN = ("tests/unit/test_calc_strain.py",)
EMISSIONS = ("tests/unit/test_calc_emissions.py",)
CHOICE = ("tests/unit/test_whole_job.py",)
MIX = ("tests/unit/test_calc_plan_mix.py",)
PLAN = ("tests/unit/test_plan.py",)
MIXES = ("tests/property/test_plan_laws.py",)
TIME = ("tests/unit/test_calc_time_study.py",)
SHARED = ("tests/unit/test_share.py",)
SURE = ("tests/unit/test_calc_how_sure.py",)
LAWS = tuple(f"tests/draws/test_{name}.py" for name in ("draw_laws", "draw_keys", "one_by_one", "one_interval"))
DRAWS = ("tests/draws/test_rows.py", "tests/draws/test_normal.py")

FAULTS = (
    # money
    Fault("yearly upkeep of a shared tool is not shared", "money", "money/method.py",
          'cost * year.share_frac if item.per == "years" else cost', "cost", MONEY),
    Fault("a shared tool counts the hours of one task only", "money", "money/method.py",
          "all_h_per_cord = tool.hours_per_cord + tool.other_hours_per_cord",
          "all_h_per_cord = tool.hours_per_cord", STUDY),
    Fault("owning a tool is not shared by hours", "money", "money/method.py",
          "return total(tool.yearly_cost * tool.share_frac / self.cords_per_year for tool in self.tools)",
          "return total(tool.yearly_cost / self.cords_per_year for tool in self.tools)", STUDY),
    Fault("a day of rent that is begun is not counted whole", "held", "money/method.py",
          "plain(np.ceil(units - TOLERANCE))", "plain(units)", HELD),
    Fault("a shared tool is worn by one's own hours alone", "held", "money/method.py",
          "hours_per_year=hours_per_year / tool.part_frac,", "hours_per_year=hours_per_year,", HELD),
    Fault("a shared tool costs all of its price", "held", "money/method.py",
          "return self.price * self.part_frac", "return self.price", HELD),
    Fault("a rented tool is worn by age too", "held", "air/method.py",
          'if (tool.is_others or tool.held == "shared") and inputs.life_h is not None:', "if False:", HELD),
    Fault("what holds in most draws is said flat", "money", "draws/figure.py",
          "return what if percent == 100 else", "return what if percent >= 90 else", MONEY),
    Fault("an input moves the quicker of two ways alone", "money", "choice/flip_moves.py",
          "drawn(rates.number(way.totals, key)) for key in keys",
          "drawn(rates.number(way.totals, key) if way is step.quick else nominal(rates.number(way.totals, key)))"
          " for key in keys", MONEY),
    Fault("an hour that is not saved at an end turns nothing", "money", "choice/flip_moves.py",
          "all((end > 0) == is_quick for", "any((end > 0) == is_quick for", MONEY),
    Fault("a week of rent has six days", "held", "money/inputs.py", '{"day": 1, "week": 7}', '{"day": 1, "week": 6}',
          HELD),
    Fault("rent is not drawn with the hours", "held", "money/drawn.py",
          "rent=_drawn_rent(tool, totals, study, taken),", "rent=tool.inputs.rent,", HELD),
    Fault("a bought cord saves its stacking too", "held", "money/bought.py",
          "[name for name in job if name not in left], \"worker_hours\")", "list(job), \"worker_hours\")", HELD),
    Fault("oil is added to the gasoline of the mix, not put in its place", "money", "money/spending.py",
          "return (mix_ratio * gasoline_price_per_l + oil_price_per_l) / (mix_ratio + 1)",
          "return gasoline_price_per_l + oil_price_per_l / mix_ratio", COST),
    Fault("upkeep by stacked volume is turned the wrong way", "money", "money/spending.py",
          '"stacked m3": value("cord.volume_m3"),', '"stacked m3": 1 / value("cord.volume_m3"),', COST),
    Fault("no interest on the resale", "money", "money/owning.py",
          "years=years) + resale * rate_frac", "years=years)", COST),
    Fault("the longer of two lives ends a tool", "money", "money/owning.py",
          "return plain(np.minimum(", "return plain(np.maximum(", COST),
    Fault("an hour saved costs the other way round", "money", "money/between.py",
          "return self.quick_money.money.cash - self.slow_money.money.cash",
          "return self.slow_money.money.cash - self.quick_money.money.cash", MONEY),
    # wood
    Fault("a lot is all its tasks together, not the fullest", "wood", "wood/amounts.py",
          "return max((math.fsum(volumes) for volumes in by_task.values()), default=0.0)",
          "return math.fsum(math.fsum(volumes) for volumes in by_task.values())", STUDY),
    Fault("solid wood is stacked by the fraction turned over", "wood", "wood/volumes.py",
          "return solid_m3 / solid_fraction", "return solid_m3 * solid_fraction", WOOD),
    Fault("a section is the square of its diameter", "wood", "wood/geometry.py",
          "return math.pi / 4 * (diameter_m * second_m)", "return diameter_m * second_m", WOOD),
    Fault("water over dry mass is taken as water over all", "wood", "wood/moisture.py",
          "return moisture_wet_frac / (1 - moisture_wet_frac)", "return moisture_wet_frac", HEAT),
    # hours
    Fault("sign of the power of the usual solid fraction", "hours", "hours/common.py",
          "return -share if per in STACKED else share", "return share", HEAT),
    Fault("what is stacked by the usual fraction goes the wrong way into a rate", "hours", "hours/common.py",
          "return {key: -power for key, power in powers.items()}, spreads",
          "return dict(powers), spreads", ("tests/unit/test_how_sure.py",)),
    Fault("what is common to all sessions leaves a rate alone", "hours", "hours/taken.py",
          "Taken(self.wood(totals) * own.number)", "Taken(own.number + 0 * self.wood(totals))",
          ("tests/unit/test_how_sure.py",)),
    Fault("helpers' time is left out", "hours", "hours/time_study.py",
          "return math.fsum(parts_min)", "return parts_min[0]", TIME),
    Fault("delays of a day are taken off once for all workers", "hours", "hours/time_study.py",
          "return all_workers_min * (delay_free_min(elapsed_min=elapsed_min, delay_min=delay_min) / elapsed_min)",
          "return all_workers_min - delay_min", TIME),
    # warmth
    Fault("the season's wood is that of its emptiest task", "warmth", "warmth/cord.py",
          "fullest = max(volumes, ", "fullest = min(volumes, ", HEAT),
    Fault("a stove may give more than the net heat", "warmth", "warmth/cord.py",
          "stove.efficiency_frac * one.gross_mj > one.net_mj", "stove.efficiency_frac * one.gross_mj > one.gross_mj",
          HEAT),
    Fault("no limit by the net heat where heat is delivered", "warmth", "warmth/heat.py",
          "if nominal(delivered) > max(nominal(heat.net_mj), 0.0) * (1 + 1e-12):",
          "if nominal(delivered) > nominal(heat.gross_mj) * (1 + 1e-12):", ("tests/property/test_heat_laws.py",)),
    Fault("water gives heat", "warmth", "warmth/heat.py",
          '(net_heat_mj_per_kg - value("wood.evaporation_heat") * water_per_dry)',
          '(net_heat_mj_per_kg + value("wood.evaporation_heat") * water_per_dry)', HEAT),
    Fault("a range of heat is drawn on one side", "warmth", "draws/inputs.py",
          "np.where(place < 0, place * (middle - low), place * (high - middle))",
          "np.abs(place) * (high - middle)", HEAT),
    Fault("degree days of the last winter above the line", "warmth", "warmth/heat_need.py",
          "return amount * degree_days_next_k / degree_days_last_k",
          "return amount * degree_days_last_k / degree_days_next_k", HEAT),
    # body
    Fault("a helper is exposed like the one who holds the saw", "body", "body/day_tables.py",
          "held = [stint for stint in stints if not stint[1].is_helper]", "held = list(stints)", BODY),
    Fault("vibration goes by the time, not by its root", "body", "body/exposure.py",
          'return vibration_m_s2 * math.sqrt(time_h / value("vibration.reference_time"))',
          'return vibration_m_s2 * (time_h / value("vibration.reference_time"))', EXPOSURE),
    Fault("noise of the day is a plain mean of levels", "body", "body/noise.py",
          'return 10 * math.log10(energy / value("noise.reference_time"))',
          "return 10 * math.log10(energy / math.fsum(time_h for _, time_h in level_dba_and_hours))", EXPOSURE),
    Fault("share of the reserve is over the highest rate", "body", "body/strain.py",
          "return (heart_rate_bpm - resting_bpm) / (max_bpm - resting_bpm)",
          "return (heart_rate_bpm - resting_bpm) / max_bpm", STRAIN),
    Fault("energy at rest grows with age", "body", "body/effort_equations.py",
          'value("mifflin.age") * age_years', 'abs(value("mifflin.age")) * age_years', EFFORT),
    # air
    Fault("CO2 of plants counts as fossil", "air", "air/engine_gases.py",
          "return total(kg for fuel, kg in self.kg.items() if fuels()[fuel].is_fossil)",
          "return total(self.kg.values())", EMISSIONS),
    Fault("wear of a shared tool is not shared", "air", "air/embodied.py",
          "return share / (years * cords_per_year)", "return 1 / (years * cords_per_year)",
          ("tests/unit/test_emission_study.py",)),
    Fault("energy return is turned over", "air", "air/return_ratio.py",
          "return heat_mj / energy_in_mj", "return energy_in_mj / heat_mj",
          ("tests/property/test_emission_laws.py",)),
    # choice
    Fault("the whole job is told without its last task", "choice", "choice/whole_job.py",
          "drawn.sum_figure(dict.fromkeys(job, 1.0), key)", "drawn.sum_figure(dict.fromkeys(job[:-1], 1.0), key)",
          CHOICE),
    Fault("the most of a measure wins", "choice", "choice/winners.py",
          "place = min(range(len(ways)), key=lambda at: figures[at].value or 0.0)",
          "place = max(range(len(ways)), key=lambda at: figures[at].value or 0.0)", CHOICE),
    Fault("a task that is not settled is advised all the same", "choice", "choice/whole_job.py",
          "said(Reason.NOT_ADVISED, tasks=open_ones) if open_ones else suggested", "suggested", CHOICE),
    # plan
    Fault("a crew takes as long as one of it", "plan", "plan/calendar.py",
          "whole = cords * block.worker_hours_per_cord * MIN_PER_H / people_n",
          "whole = cords * block.worker_hours_per_cord * MIN_PER_H", PLAN),
    Fault("a crew may use the hours of the week once for each", "plan", "plan/calendar.py",
          "room = week.left_min / people_n", "room = week.left_min", PLAN),
    Fault("a crew takes one person's time of the week", "plan", "plan/calendar.py",
          "(n - made[0] * len(crew.people) for n in", "(n - made[0] for n in", PLAN),
    Fault("hard work follows hard work", "plan", "plan/calendar.py",
          "self.hard_on.get(person) != day - 1", "self.hard_on.get(person) != day", PLAN),
    Fault("a plan takes the cheapest, whatever its verdict", "plan", "plan/aims.py",
          "return is_other, self._sum(way)",
          "return False, self._sum(way)", MIXES),
    Fault("a departure costs as much as it likes", "plan", "plan/aims.py",
          "max(self._sum(way) - self._sum(self._order[0]), rank * least)",
          "rank * least", MIXES),
    Fault("limits are not for the wanted cords", "plan", "plan/mix.py",
          "return [limit / cords for limit in limits.values()]", "return list(limits.values())", MIX),
    # draws
    Fault("ends of what shares a factor are swapped", "draws", "draws/figure.py",
          "low, high = ends(members)", "high, low = ends(members)", LAWS),
    Fault("the nominal member counts as a draw", "draws", "draws/ensemble.py",
          "np.sort(members[1:])\n    return _at", "np.sort(members)\n    return _at",
          ("tests/draws/test_normal.py",)),
    Fault("a choice is in doubt", "draws", "money/ranges.py",
          "if not design.moves_choices:", "if design.moves_choices:", LAWS),
    Fault("a relative uncertainty is taken as a variance", "draws", "draws/inputs.py",
          "return math.sqrt(math.log1p(u_frac**2)) * design.scores(key)",
          "return math.log1p(u_frac**2) * design.scores(key)", ("tests/derived/test_draws.py",)),
    Fault("ends of a rate's log are swapped", "draws", "draws/student.py",
          "return middle / factor, middle * factor", "return middle * factor, middle / factor",
          ("tests/derived/test_field_cases.py",)),
    # results
    Fault("a problem of a private cell is shared", "results", "results/share.py",
          "return is_of_private or names_somebody or", "return names_somebody or", SHARED),
    Fault("a sheet of bodies counts as no private one", "results", "schema/model.py",
          "return sheet.private or (", "return (", SHARED),
    Fault("an item's place says nothing of its column", "results", "notes/document.py",
          'about = f"{sheet_id}.{column_id}" if column_id else sheet_id', "about = sheet_id", SHARED),
)  # fmt: skip


def with_fault(source: Path, fault: Fault) -> None:
    """Put a fault into the package of a copy."""
    path = source / "wood_xl" / fault.file
    text = path.read_text(encoding="utf-8")
    if text.count(fault.old) != 1:
        raise SystemExit(f"{fault.name}: its old text stands {text.count(fault.old)} times in {fault.file}")
    path.write_text(text.replace(fault.old, fault.new), encoding="utf-8")


def outcome(source: Path, tests: tuple[str, ...]) -> int:
    """How pytest ends on a copy, without any change to the checkout."""
    command = [sys.executable, "-B", "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *tests]
    env = os.environ | {"PYTHONPATH": str(source), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(command, cwd=source, env=env, capture_output=True, check=False).returncode


def verdict(code: int) -> str:
    """What an end of pytest says of a fault."""
    return {0: "missed", CAUGHT: "caught", BROKEN: "cannot be imported"}.get(code, f"pytest ended with {code}")


def say(text: str) -> None:
    """Tell it at once: a run takes minutes."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def main() -> int:
    """Run the faults; 1 if one is not noticed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--tests", action="append", help="instead of the worked season and the tests of each fault")
    parser.add_argument("--own", action="store_true", help="only the tests that each fault names")
    parser.add_argument("--topic", action="append", choices=sorted({fault.topic for fault in FAULTS}))
    parser.add_argument("--list", action="store_true", help="name the faults and stop")
    asked = parser.parse_args()
    chosen = [fault for fault in FAULTS if not asked.topic or fault.topic in asked.topic]
    if asked.list:
        say("\n".join(f"{fault.topic:7} {fault.file:26} {fault.name}" for fault in chosen))
        return 0
    missed = 0
    sound: dict[tuple[str, ...], int] = {}
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "checkout"
        source.mkdir()
        for name in COPIED:
            copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy2
            copy(ROOT / name, source / name)
        for fault in chosen:
            begun = time.monotonic()
            whole = (source / "wood_xl" / fault.file).read_bytes()
            with_fault(source, fault)
            selections = [tuple(asked.tests)] if asked.tests else [*([] if asked.own else [(WORKED,)]), fault.tests]
            told = {" ".join(tests): outcome(source, tests) for tests in selections}
            (source / "wood_xl" / fault.file).write_bytes(whole)
            for tests in selections:
                if told[" ".join(tests)] == CAUGHT and tests not in sound:
                    sound[tests] = outcome(source, tests)  # tests that fail anyhow prove nothing
                    if sound[tests]:
                        raise SystemExit(f"{' '.join(tests)} fails without a fault too")
            missed += CAUGHT not in told.values()
            by = "; ".join(f"{tests}: {verdict(code)}" for tests, code in told.items())
            say(f"{fault.topic:7} {fault.name} [{time.monotonic() - begun:.0f} s]: {by}")
    say(f"{len(chosen) - missed} of {len(chosen)} noticed")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
