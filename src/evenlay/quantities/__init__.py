"""Units, values that know how they are known, remarks and input problems."""
