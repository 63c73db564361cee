"""Where passes lie on a face; arrays only."""
