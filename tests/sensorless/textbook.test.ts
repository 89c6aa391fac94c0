/** The failures of the textbook in a short form. */
import { describe, it } from 'vitest';
import { expectNear } from '../support/near.ts';
import { expectHolds, valueIn } from './expect-holds.ts';
import { deadTimeRows, delayRows, polarityRows, wrongAngleRows } from './experiments/textbook.ts';

describe('failures of the textbook', () => {
  it('refuses to tell north from south where saturation is alike either way', () => expectHolds(polarityRows(12)));

  it('has a sixth harmonic where dead time is not compensated, near its closed form', () => {
    const rows = deadTimeRows();
    expectHolds(rows);
    const seen = valueIn(rows, 'not compensated: sixth harmonic');
    const closed = valueIn(rows, 'not compensated: closed form');
    expectNear(seen, closed, {
      abs: 0.35 * closed,
      because:
        'the closed form has square steps at the zero crossings, which ripple of the current rounds; the current loop takes ' +
        'off a part, and the saturated inductances are smaller than those at no current',
    });
  });

  it('makes torque with the cosine of a wrong angle, none at 90 degrees', () => expectHolds(wrongAngleRows()));

  it('lags by one and a half periods of turn where delay is not compensated', () => expectHolds(delayRows()));
});
