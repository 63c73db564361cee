"""The job and every saved record: closed and frozen."""
