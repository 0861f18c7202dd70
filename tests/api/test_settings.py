"""The environment is read whole and strictly."""

import pytest

from axlewright.settings import Settings, SettingsError


def test_without_variables_the_defaults_hold() -> None:
    settings = Settings.from_environment({"PATH": "/bin"})
    assert settings == Settings()
    assert settings.body_limit_bytes == 2**20
    assert settings.cors_origins == ()


def test_every_variable_reaches_its_field() -> None:
    assert Settings.from_environment(
        {
            "AXLEWRIGHT_BODY_LIMIT_BYTES": "2048",
            "AXLEWRIGHT_BODY_TIME_LIMIT_S": "1.5",
            "AXLEWRIGHT_CORS_ORIGINS": "https://a.example.org, http://localhost:3000",
            "AXLEWRIGHT_LOG_LEVEL": "WARNING",
            "AXLEWRIGHT_SOLVER_LIMIT_S": "4",
            "AXLEWRIGHT_SOLVERS_AT_ONCE": "8",
        }
    ) == Settings(2048, 1.5, ("https://a.example.org", "http://localhost:3000"), "warning", 4.0, 8)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("AXLEWRIGHT_BODY_LIMIT_BYTES", "0"),
        ("AXLEWRIGHT_BODY_LIMIT_BYTES", "-5"),
        ("AXLEWRIGHT_BODY_LIMIT_BYTES", "1e6"),
        ("AXLEWRIGHT_BODY_LIMIT_BYTES", ""),
        ("AXLEWRIGHT_BODY_LIMIT_BYTES", "9" * 5000),
        ("AXLEWRIGHT_BODY_TIME_LIMIT_S", "0"),
        ("AXLEWRIGHT_BODY_TIME_LIMIT_S", "nan"),
        ("AXLEWRIGHT_BODY_TIME_LIMIT_S", "inf"),
        ("AXLEWRIGHT_BODY_TIME_LIMIT_S", "soon"),
        ("AXLEWRIGHT_CORS_ORIGINS", "app.example.org"),
        ("AXLEWRIGHT_CORS_ORIGINS", "https://app.example.org/"),
        ("AXLEWRIGHT_CORS_ORIGINS", "https://App.example.org"),
        ("AXLEWRIGHT_CORS_ORIGINS", "https://*.example.org"),
        ("AXLEWRIGHT_CORS_ORIGINS", "null"),
        ("AXLEWRIGHT_LOG_LEVEL", "loud"),
        ("AXLEWRIGHT_SOLVER_LIMIT_S", "0"),
        ("AXLEWRIGHT_SOLVERS_AT_ONCE", "0"),
        ("AXLEWRIGHT_SOLVERS_AT_ONCE", "65"),
        ("AXLEWRIGHT_SOLVERS_AT_ONCE", "two"),
        ("AXLEWRIGHT_BODY_LIMIT", "2048"),
    ],
)
def test_a_wrong_or_unknown_variable_is_refused_by_its_name(name: str, value: str) -> None:
    with pytest.raises(SettingsError, match=name):
        Settings.from_environment({name: value})
