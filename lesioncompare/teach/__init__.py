"""Sun sense, practice for the eye, the look from nose to tail, and the weekly habit."""
