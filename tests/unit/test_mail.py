"""Drafts of messages, read by two mail parsers; nothing that a person types becomes a header."""

from __future__ import annotations

import base64
import datetime as dt
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default
from functools import cache
from pathlib import Path
from typing import Any

import mailparser
import pytest
from builders import checked, demo_results, small_season
from click.testing import CliRunner
from few import few, together
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook
from test_odd_seasons import CHANGES

from wood_xl.cli import main
from wood_xl.data.cautions import cautions
from wood_xl.demo import demo_names
from wood_xl.mail import AddressNotUsable, Draft, address, draft, draft_of, in_few_words
from wood_xl.notes.echo import AnswerTexts
from wood_xl.notes.problem import catalogue, problem
from wood_xl.pipeline import computed_again
from wood_xl.report.book import results_bytes
from wood_xl.results.share import shared

WHEN = dt.datetime(2026, 3, 1, 12, 30, tzinfo=dt.UTC)
MOST_WORDS = 250
TOLD = {"display_units": "metric", "input_sha256": "0" * 64, "template_version": "1"}
TO = ["ada@example.org", "bo.berg@example.net"]
TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@pytest.fixture
def results(tmp_path: Path) -> Path:
    return written(demo_names()[0], tmp_path)


def written(name: str, folder: Path, *, share: bool = False) -> Path:
    target = folder / "season-results.xlsx"
    target.write_bytes(bytes_of(name, share))
    return target


@cache
def bytes_of(name: str, share: bool) -> bytes:
    document = demo_results(name)
    return results_bytes(shared(document) if share else document, paper="a4")


def parsed(made: Draft) -> EmailMessage:
    message = message_from_bytes(made.message, policy=default)
    assert isinstance(message, EmailMessage)
    assert message.defects == []
    return message


def test_draft_carries_summary_and_workbook(results: Path) -> None:
    message = parsed(draft_of(results, to=TO, sender="cy@example.com", when=WHEN))
    assert [str(one) for one in message["To"].addresses] == TO
    assert message["From"].addresses[0].addr_spec == "cy@example.com"
    assert message["Date"].datetime == WHEN
    assert message["X-Unsent"] == "1"
    body, attachment = message.get_body(("plain",)), next(message.iter_attachments())
    assert body is not None
    text = body.get_content()
    assert "Invented example: nobody measured these figures." in text
    assert "Invented example" in message["Subject"]
    order = [
        "Read the cautions in full on the sheet Answer",
        "Powered saw: Helmet, face screen, ear protectors, gloves, cut-resistant legwear",
        "No figure here counts the risk of injury.",
        "Bucking: chain saw. Settled.",
        "Splitting: keep maul for now. ",
        "1. Follow the plan",
        "wood-xl verify",
    ]
    flat = " ".join(text.split())
    places = [flat.index(one) for one in order]
    assert places == sorted(places)
    assert len(text.split()) < MOST_WORDS
    assert max(map(len, text.splitlines())) <= 72
    assert attachment.get_content_type() == TYPE
    assert attachment.get_filename() == results.name
    assert attachment.get_content() == results.read_bytes()


@pytest.mark.slow
def test_a_shared_copy_is_not_said_to_hold_every_figure_and_the_notes(tmp_path: Path) -> None:
    message = parsed(draft_of(written(demo_names()[0], tmp_path, share=True), to=TO, sender=None, when=WHEN))
    body = message.get_body(("plain",))
    assert body is not None
    text = " ".join(body.get_content().split())
    assert "Attached: the figures with their sources, and what was measured. To check:" in text
    assert "every figure" not in text


def long_names(data: dict[str, Any]) -> None:
    """Methods with names of many words."""
    names = {
        row["method"]: f"{row['method']} {'as we have always done it here ' * 5}".strip() for row in data["methods"]
    }
    for sheet in ("methods", "sessions"):
        for row in data[sheet]:
            row["method"] = names[row["method"]]


def no_name_fits(data: dict[str, Any]) -> None:
    """Methods whose names are too long to be read: no session has a method."""
    for row in data["methods"]:
        row["method"] += " x" * 200


ODD = {
    "no name fits": no_name_fits,
    **{name: change for name, (change, _) in CHANGES.items()},
    "long names": long_names,
}


@pytest.mark.parametrize("name", few(ODD, "long names"))
def test_a_message_is_short_and_says_the_cautions_first_whatever_the_season(name: str, tmp_path: Path) -> None:
    data = small_season()
    ODD[name](data)
    document = computed_again(checked(data), TOLD)
    assert document is not None
    path = tmp_path / "season-results.xlsx"
    path.write_bytes(results_bytes(document, paper="a4"))
    body = parsed(draft_of(path, to=TO, sender=None, when=WHEN)).get_body(("plain",))
    assert body is not None
    text = body.get_content()
    assert len(text.split()) < MOST_WORDS
    flat = " ".join(text.split())
    assert "in full on the sheet Answer" in flat
    full = {f"{one.title}: {one.text}": one for one in cautions()}
    stands = [full[cell.value] for cell in load_workbook(path)["Answer"]["A"] if cell.value in full]
    assert "heart" in [one.id for one in stands]
    for one in stands:
        assert f"{one.title}: {one.short}" in flat


def test_steps_that_have_no_room_leave_no_gap_in_the_numbers() -> None:
    steps = ["1. Follow the plan.", f"2. {'Long ' * 100}", "3. Look at two notes. They may move it."]
    told = in_few_words(AnswerTexts([], [("Bucking: bow saw", "Settled.")], steps), most=40)
    assert told[-2:] == ["1. Follow the plan.", "2. Look at two notes. They may move it."]


def test_another_parser_reads_the_same(results: Path) -> None:
    found = mailparser.parse_from_bytes(draft_of(results, to=TO, sender=None, when=WHEN).message)
    assert not found.defects
    assert [one for _, one in found.to] == TO
    assert found.date.replace(tzinfo=dt.UTC) == WHEN
    (attached,) = found.attachments
    assert (attached["filename"], attached["mail_content_type"]) == (results.name, TYPE)
    assert base64.b64decode(attached["payload"]) == results.read_bytes()
    assert "No figure here counts the risk of injury." in found.text_plain[0]


def test_same_results_and_time_give_the_same_draft(results: Path) -> None:
    once, again = (draft_of(results, to=TO, sender=None, when=WHEN).message for _ in range(2))
    assert once == again
    assert all(len(line) <= 998 for line in once.split(b"\r\n"))
    assert once.count(b"\n") == once.count(b"\r\n")
    assert once.isascii()


@pytest.mark.parametrize("share", few([False, True], False))
def test_a_draft_with_body_data_says_so(share: bool, tmp_path: Path) -> None:
    made = draft_of(written(demo_names()[0], tmp_path, share=share), to=TO, sender=None, when=WHEN)
    assert made.is_private is not share
    body = parsed(made).get_body(("plain",))
    assert body is not None
    assert len(body.get_content().split()) < MOST_WORDS
    assert body.get_content().index("risk of injury") < body.get_content().index("\nSplitting: ")


@pytest.mark.slow
def test_a_draft_of_a_changed_workbook_warns_of_it(results: Path) -> None:
    assert draft_of(results, to=TO, sender=None, when=WHEN).seal_holds
    book = load_workbook(results)
    book["Figures"]["J9"] = 1.0
    book.save(results)
    assert not draft_of(results, to=TO, sender=None, when=WHEN).seal_holds
    done = CliRunner().invoke(main, ["mail", str(results), "--to", TO[0]])
    assert done.exit_code == 0
    assert catalogue()["verify-seal-broken"]["template"] in done.output


@together(
    "text",
    ["", "ada", "ada@", "@example.org", "ada@example", "ada@.", "a b@example.org", "ada@example.org\nBcc: x@y.org",
     "ada@example.org\r\n", "ada@example.org,bo@example.org", "Ada <ada@example.org>", "\u00e5da@example.org",
     "ada@ex\u00e4mple.org", "ada@example.org;", "a@b@example.org"],
)  # fmt: skip
def test_an_invalid_address_is_refused(text: str) -> None:
    with pytest.raises(AddressNotUsable) as fault:
        address(text)
    assert fault.value.code == "mail-no-address"


@given(
    name=st.text(max_size=200),
    sentences=st.lists(st.text(max_size=200), max_size=4),
    file=st.text('ab.x\n\r"', max_size=9),
)
def test_no_text_becomes_a_header(name: str, sentences: list[str], file: str) -> None:
    made = draft(b"PK", file=file, season_name=name, sentences=sentences, to=[address(TO[0])], sender=None, when=WHEN)
    message = message_from_bytes(made, policy=default)
    assert sorted(message.keys()) == ["Content-Type", "Date", "MIME-Version", "Subject", "To", "X-Unsent"]
    assert [str(one) for one in message["To"].addresses] == TO[:1]


def test_command_writes_a_draft_and_sends_nothing(results: Path) -> None:
    done = CliRunner().invoke(main, ["mail", str(results), "--to", TO[0]])
    assert done.exit_code == 0
    assert f"NOTE  {problem('mail-not-shared').line()}\n" in done.output
    assert results.with_suffix(".eml").read_bytes().startswith(b"Subject: Firewood trial")
    again = CliRunner().invoke(main, ["mail", str(results), "--to", TO[0]])
    assert again.exit_code == 3
    assert catalogue()["output-exists"]["template"].partition("{")[2].rpartition("}")[2] in again.output
    bad = CliRunner().invoke(main, ["mail", str(results), "--to", "ada", "--out", str(results.with_name("x.eml"))])
    assert (bad.exit_code, problem("mail-no-address", found=repr("ada")).line() in bad.output) == (3, True)
    assert not results.with_name("x.eml").exists()


def test_a_draft_of_a_shared_copy_says_nothing_of_names(tmp_path: Path) -> None:
    path = written(demo_names()[0], tmp_path, share=True)
    done = CliRunner().invoke(main, ["mail", str(path), "--to", TO[0]])
    assert (done.exit_code, "NOTE" in done.output) == (0, False)
