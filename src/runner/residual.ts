/** Largest share of the energy that passed which may fail to balance. */
export const RESIDUAL_MOST = 1e-6;
