"""A series as something to hand over: pictures, words and pages."""
