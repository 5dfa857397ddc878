"""The report as one page that opens in any browser without a network."""
