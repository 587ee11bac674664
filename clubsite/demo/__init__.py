"""The demo club: set up like any other club, its matches written through the ledger."""
