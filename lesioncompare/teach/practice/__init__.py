"""Practice for the eye: pairs and short series of simulated photos whose truth is known."""
