"""Contact of a wheel or belt with a surface."""
