"""The plan: blocks, intervals, cue placement, and the Session on one integer clock."""
