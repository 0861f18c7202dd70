"""What the command line refuses, and the contract it prints."""

import json

import pytest

from axlewright import cli


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.7", "axle.example.org", ""])
def test_an_address_that_others_reach_is_refused_without_the_flag(
    host: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["serve", "--host", host]) == 2
    assert "--open-to-anyone" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "host"),
    [
        (["--host", "127.0.0.1"], "127.0.0.1"),
        (["--host", "localhost"], "localhost"),
        (["--host", "0.0.0.0", "--open-to-anyone"], "0.0.0.0"),
        ([], "127.0.0.1"),
    ],
)
def test_loopback_is_served_and_anything_with_the_flag(
    arguments: list[str], host: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    served = []
    monkeypatch.setattr(cli, "serve", lambda _, *address: served.append(address))
    assert cli.main(["serve", "--port", "0", *arguments]) == 0
    assert [address[0] for address in served] == [host]
    assert served[0][1] > 0


@pytest.mark.parametrize("port", ["-1", "65536", "x", "８０", ""])
def test_a_port_that_is_none_is_refused(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        cli.main(["serve", "--port", port])
    assert stopped.value.code == 2
    assert "0 to 65535" in capsys.readouterr().err or port == "-1"


def test_a_wrong_setting_is_refused_by_its_name(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("AXLEWRIGHT_BODY_LIMIT_BYTES", "1 MiB")
    assert cli.main(["serve"]) == 2
    assert "AXLEWRIGHT_BODY_LIMIT_BYTES is '1 MiB'" in capsys.readouterr().err


def test_contract_prints_the_document(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["contract"]) == 0
    assert json.loads(capsys.readouterr().out)["openapi"] == "3.1.0"
