"""Causes, choosing, trials, safety; pure."""
