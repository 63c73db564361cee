"""Shipped tables."""
