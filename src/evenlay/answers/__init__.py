"""One function per thing a user does, each returning one frozen record."""
