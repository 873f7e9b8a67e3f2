"""Measures the reply reader on `fixtures/replies`, beside a naive one."""
