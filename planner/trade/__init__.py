"""Pure functions of the trade: heat balance, lifting, payload, metals, exposure."""
