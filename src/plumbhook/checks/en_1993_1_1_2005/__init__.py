"""EN 1993-1-1:2005, Eurocode 3: design of steel structures, general rules and rules for buildings."""
