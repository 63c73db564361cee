"""Parse, call one answer, print, exit code."""
