"""The main job as a state machine: any order of steps, held against what a plain list remembers."""
