"""Measures the reply reader on the replies of `fixtures/replies`, beside a naive one."""
