"""Files to records and arrays; no arithmetic."""
