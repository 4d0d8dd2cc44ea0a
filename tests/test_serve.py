"""The app listens on this computer alone unless sharing was asked for, and says what that means."""

import tomllib
from pathlib import Path

from streamlit.web.server.server_util import is_url_from_allowed_origins

from lesioncompare.ui.serve import ENTRY, server_command, words
from lesioncompare.ui.shield import HEADERS, POLICY

ROOT = Path(__file__).parent.parent
CONFIG = Path(".streamlit") / "config.toml"


class TestServe:
    def test_only_this_computer_can_reach_it(self) -> None:
        assert "--server.address=127.0.0.1" in server_command(8501)

    def test_sharing_listens_on_the_network_and_names_what_it_exposes(
        self, monkeypatch, tmp_path
    ) -> None:
        monkeypatch.setenv("LESIONCOMPARE_HOME", str(tmp_path))
        assert "--server.address=0.0.0.0" in server_command(9000, share=True)
        said = " ".join(words(9000, share=True))
        for fact in (":9000", str(tmp_path), "no password", "no encryption"):
            assert fact in said
        assert "no password" not in " ".join(words(9000, share=False))

    def test_the_installed_app_and_the_checkout_run_with_the_same_settings(self) -> None:
        installed = ENTRY.parent / CONFIG
        assert installed.read_text() == (ROOT / CONFIG).read_text()

    def test_the_settings_are_the_careful_ones(self) -> None:
        settings = tomllib.loads((ROOT / CONFIG).read_text())
        assert settings["server"]["address"] == "127.0.0.1"
        assert settings["server"]["maxUploadSize"] <= 60
        assert settings["browser"]["gatherUsageStats"] is False
        assert settings["client"]["showErrorDetails"] == "none"

    def test_a_page_from_elsewhere_is_refused_without_asking_anyone(self, monkeypatch) -> None:
        asked = []
        monkeypatch.setattr("requests.get", lambda url, **_: asked.append(url))
        assert is_url_from_allowed_origins("http://localhost:8501")
        assert not is_url_from_allowed_origins("http://elsewhere.example")
        assert asked == []

    def test_the_policy_lets_nothing_in_from_elsewhere(self) -> None:
        """Content Security Policy Level 3 (W3C): a host, a scheme or * would show up here."""
        sources = [word for part in POLICY.split("; ") for word in part.split()[1:]]
        allowed = {"'self'", "'none'", "'unsafe-inline'", "data:", "blob:"}
        assert set(sources) <= allowed
        assert "geolocation=()" in HEADERS["permissions-policy"]
