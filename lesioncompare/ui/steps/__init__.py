"""The steps of a visit, one screen each."""
