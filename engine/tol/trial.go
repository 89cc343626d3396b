package tol

// TrialPatch is the side (mm) under which a patch cannot be judged by eye.
// Reason: common practice, no published source; 8 mm is some 20 lines. User:
// trial.
const TrialPatch = 8

// TrialStepsPerUnit is how finely values of a trial plate are rounded, in steps
// per unit of each. Reason: finer than any maker's setting, coarser than the
// noise of adding steps; a whole number, so that 0.42 stays 0.42. User: trial.
const TrialStepsPerUnit = 10000
