// The pages hold no formulas; this stands for the script that would set them.
