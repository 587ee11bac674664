"""What happened at the table: the rules, the ledger, the match."""
