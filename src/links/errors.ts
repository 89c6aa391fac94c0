import type { LinkLoss } from './link.ts';

/** The set-up is wrong: nothing was run. The message says what, where, and what is allowed. */
export class SetUpError extends Error {
  override readonly name = 'SetUpError';
}

/** A controller was there or should have been, and did not get as far as its Hello. */
export class LinkLostError extends Error {
  override readonly name = 'LinkLostError';
  readonly loss: LinkLoss;

  constructor(loss: LinkLoss) {
    super(loss.message);
    this.loss = loss;
  }
}
