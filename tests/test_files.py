"""Rigs from files: the sheet, the same JSON as over HTTP, and exit codes that a script can act on."""

import io
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from axlewright import cli
from axlewright.app import create_app
from axlewright.contract.assessment import assess_answer
from axlewright.contract.decoding import decode
from axlewright.contract.examples import document
from axlewright.contract.request import AssessRequest
from axlewright.settings import Settings
from tests.api.probe import send
from tests.documents import known


def kept() -> dict[str, Any]:
    """Return a rig within every limit, all of them known: a coach on exact loads well below its ratings."""
    rig = json.loads(document("full"))
    rig.pop("session")
    ends = ("steer.left", "steer.right", "drive.left", "drive.right")
    return rig | {
        "loads": [
            {"wheel_ends": [end], "load": load, "standard_uncertainty": 0}
            for end, load in zip(ends, (2400, 2400, 4200, 4200), strict=True)
        ]
    }


def overloaded() -> dict[str, Any]:
    rig = kept()
    rig["rig"]["vehicles"][0]["gvwr"] = 13000
    return rig


def light_in_front() -> dict[str, Any]:
    rig = kept()
    for place in (0, 1):
        rig["loads"][place]["load"] = 900
    return rig


def unsettled() -> dict[str, Any]:
    rig = overloaded()
    rig["rig"]["vehicles"][0]["gvwr"] = 13210
    rig["loads"][0]["standard_uncertainty"] = 30
    return rig


def overinflated() -> dict[str, Any]:
    rig = kept()
    for axle in rig["rig"]["vehicles"][0]["axles"]:
        axle["tires"]["pressure"] = 130
        axle.pop("wheel_ends", None)
    return rig


def without_a_pressure() -> dict[str, Any]:
    """Return a rig within every limit whose label asks for more than its tires may hold."""
    rig = kept()
    rig["rig"]["vehicles"][0]["label_pressures"] = [{"axle": "steer", "pressure": 118}]
    rig["policy"]["label_floor"] = "always"
    return rig


def heavy_trailer() -> dict[str, Any]:
    rig = json.loads(document("trailer_known_loads"))
    rig["rig"]["vehicles"][0]["gvwr"] = 5000
    return rig


def written(folder: Path, name: str, content: Any) -> str:
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else json.dumps(content).encode())
    return str(path)


CODES: dict[str, tuple[Any, int]] = {
    "every limit known and kept": (kept(), 0),
    "one over": (overloaded(), 1),
    "one short": (light_in_front(), 1),
    "a trailer whose axles alone are over": (heavy_trailer(), 1),
    "tires above their maximum": (overinflated(), 1),
    "no cold pressure between label and sidewall": (without_a_pressure(), 3),
    "not JSON": (b"{", 2),
    "another shape": ({"units": "us"}, 2),
    "a contradiction": (known() | {"session": None, "loads": None}, 2),
    "within the doubt": (unsettled(), 3),
    "nothing known of the wheel ends": (json.loads(document("minimal")), 3),
}


@pytest.mark.parametrize(("content", "code"), CODES.values(), ids=CODES)
def test_the_exit_code_tells_how_the_rig_stands(content: Any, code: int, tmp_path: Path) -> None:
    assert cli.main(["assess", written(tmp_path, "rig.json", content)]) == code


@pytest.mark.parametrize(
    ("contents", "code"),
    [
        ([kept(), kept()], 0),
        ([kept(), unsettled()], 3),
        ([unsettled(), overloaded(), kept()], 1),
        ([overloaded(), b"{", unsettled()], 2),
    ],
)
def test_of_several_files_the_gravest_code_counts(contents: list[Any], code: int, tmp_path: Path) -> None:
    names = [written(tmp_path, f"{place}.json", content) for place, content in enumerate(contents)]
    assert cli.main(["assess", *names]) == code


def test_json_is_what_the_service_answers_a_line_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    contents = [kept(), {"units": "us"}, overloaded()]
    names = [written(tmp_path, f"{place}.json", content) for place, content in enumerate(contents)]
    cli.main(["assess", "--json", *names])
    lines = capsys.readouterr().out.splitlines()
    app = create_app(Settings())
    replies = [
        send(app, "POST", "/v1/assess", json.dumps(content).encode(), {"Content-Type": "application/json"})
        for content in contents
    ]
    assert [line.encode() for line in lines] == [reply.body for reply in replies]


def test_a_sheet_rounds_a_setting_up_and_lets_no_name_turn_the_writing_around(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig = kept()
    rig["rig"]["name"] = "Tern\u202e 7"
    cli.main(["assess", written(tmp_path, "rig.json", rig)])
    text = capsys.readouterr().out
    assert text.splitlines()[0] == "Tern 7"
    answer = assess_answer(decode(json.dumps(rig).encode(), AssessRequest))
    for axle in answer.inflation:
        assert axle.set_now is not None
        shown = re.search(rf"^{axle.axle} +[0-9.]+ +([0-9.]+)", text, re.MULTILINE)
        assert shown
        assert 0 <= float(shown[1]) - axle.set_now < 0.1


def test_answers_that_cannot_be_written_are_no_verdict(tmp_path: Path) -> None:
    name = written(tmp_path, "rig.json", overloaded())
    command = [sys.executable, "-m", "axlewright.cli", "assess", name]
    with open("/dev/full", "w") as full:  # noqa: PTH123
        ran = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert (ran.returncode, ran.stderr) == (2, "axlewright: cannot write the answers: No space left on device\n")


def test_a_sheet_names_its_rig_and_its_worst_standing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["assess", written(tmp_path, "rig.json", overloaded())]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Heron 24, rental yard spare"
    assert "speeds in mph" in lines[3]
    assert lines[2] == "Worst standing: over; least is left at coach (vehicle); critical findings: 1"


def test_a_sheet_tells_what_hitching_does(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Hand: 3,260 + 3,780 - 3,560 - 2,620 = 860 lb; 6,080 - 5,980 = 100 lb; (3,440 - 3,260)/(3,560 - 3,260) = 60 %."""
    rig = json.loads(document("coupled"))
    cli.main(["assess", written(tmp_path, "rig.json", rig)])
    told = capsys.readouterr().out
    assert re.search(r"tongue or pin weight: 860 lb \(u \d+\)", told)
    assert re.search(r"put on the trailer's axles by them: 100 lb", told)
    assert re.search(r"given back to the front axle by them: 60 %", told)
    del rig["session"]["passes"][2]
    cli.main(["assess", written(tmp_path, "rig.json", rig)])
    told = " ".join(capsys.readouterr().out.split())
    assert "tongue or pin weight: unknown. The passes made do not tell it. One more pass would tell: All wheels" in told


def test_a_sheet_offers_the_usual_slips_of_a_ticket_that_does_not_agree(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig = json.loads(document("full"))
    rig["session"]["passes"][2]["readings"][1]["value"] = 13100
    cli.main(["assess", written(tmp_path, "rig.json", rig)])
    told = capsys.readouterr().out
    assert "axles / B 11,300 lb instead of 13,100 lb" in " ".join(told.split())


def test_standard_input_is_a_file_of_its_own(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(json.dumps(unsettled()).encode())))
    assert cli.main(["assess", "--json", "-"]) == 3
    assert json.loads(capsys.readouterr().out)["summary"]["standing"] == "unsettled"
    assert cli.main(["assess", "-", "-"]) == 2
    assert "once" in capsys.readouterr().err


def test_what_is_wrong_with_a_file_is_said_with_its_name_place_and_remedy(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wrong = kept()
    wrong["rig"]["vehicles"][0]["axles"][0]["tires"]["max_pressur"] = wrong["rig"]["vehicles"][0]["axles"][0][
        "tires"
    ].pop("max_pressure")
    missing = str(tmp_path / "missing.json")
    name = written(tmp_path, "wrong.json", wrong)
    assert cli.main(["assess", name, missing]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    lines = told.err.splitlines()
    assert lines[0] == f"axlewright: {name}: The document is not valid. There are 2 faults in the document."
    assert lines[1].startswith(
        "  /rig/vehicles/0/axles/0/tires/max_pressure: max_pressure is missing; it must be a number"
    )
    assert "did you mean 'max_pressure'?" in lines[2]
    assert lines[3].startswith(f"axlewright: {missing}: The file cannot be read.")
