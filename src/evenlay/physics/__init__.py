"""Pure models in SI, broadcasting over draws."""
