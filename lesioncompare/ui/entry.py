"""The app as the installed program starts it: the screens behind the shield."""

from pathlib import Path

from streamlit.starlette import App

from lesioncompare.ui.shield import SHIELD

app = App(Path(__file__).parent / "main.py", middleware=SHIELD)
