"""What is shown: figures."""
