"""The keeper's app from a checkout: ``streamlit run app.py``."""

from pathlib import Path

from streamlit.starlette import App

from lesioncompare.ui.shield import SHIELD

app = App(Path(__file__).parent / "lesioncompare" / "ui" / "main.py", middleware=SHIELD)
