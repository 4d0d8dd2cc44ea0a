"""The parts of the vet's page."""
