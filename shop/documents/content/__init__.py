"""What each paper says, as plain data; one module a paper."""
