"""Place kept for the choice of a rig from stock; it will be handed its evaluator as a function."""
