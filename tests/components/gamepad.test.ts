/** A gamepad as a hand: when it squeezes, when it is let go, and that Stop holds until it is. */
import { describe, expect, it } from 'vitest';
import { GamepadHand, type PadSeen } from '../../components/spindle-page/gamepad.ts';
import { expectNear } from '../support/near.ts';

/** A pad with its right trigger (button 7) at a travel, and B (button 1) pressed or not. */
function pad(travel: number, b = false, mapping = 'standard', connected = true): PadSeen {
  const buttons = Array.from({ length: 17 }, (_, k) => ({
    pressed: k === 1 ? b : k === 7 && travel > 0.5,
    value: k === 1 ? Number(b) : k === 7 ? travel : 0,
  }));
  return { mapping, connected, buttons };
}

function rig() {
  const said: (number | string)[] = [];
  const hand: GamepadHand = new GamepadHand({
    pull: (travel) => said.push(travel),
    stop: () => said.push('stop'),
    told: (state) => said.push(state || 'none'),
  });
  return { said, hand };
}

describe('a gamepad', () => {
  it('says nothing while its trigger rests, so that slider and keys keep theirs', () => {
    const { said, hand } = rig();
    for (let k = 0; k < 5; k++) hand.look([null, pad(0.02 * (k % 2))]);
    expect(said).toEqual(['used']);
  });

  it('squeezes from nothing to full travel, and lets go once', () => {
    const { said, hand } = rig();
    for (const travel of [0, 0.52, 1, 0, 0]) hand.look([pad(travel)]);
    expect(said[0]).toBe('used');
    expectNear(said[1] as number, 0.5, { abs: 1e-12, because: 'half of the way between rest, 0.04, and 1' });
    expect(said.slice(2)).toEqual([1, 0]);
  });

  it('stops once per press of B, and squeezes again only after its trigger was let go', () => {
    const { said, hand } = rig();
    hand.look([pad(1)]);
    hand.look([pad(1, true)]);
    hand.look([pad(1, true)]);
    hand.look([pad(0.9)]);
    hand.look([pad(1)]);
    expect(said).toEqual(['used', 1, 'stop']);
    hand.look([pad(0)]);
    hand.look([pad(1)]);
    expect(said.slice(3)).toEqual([1]);
  });

  it('does not squeeze on through a Stop that came from elsewhere', () => {
    const { said, hand } = rig();
    hand.look([pad(1)]);
    hand.bar();
    hand.look([pad(1)]);
    hand.look([pad(0.7)]);
    expect(said).toEqual(['used', 1]);
  });

  it('counts as let go when the page goes to the back or the pad is pulled out', () => {
    const { said, hand } = rig();
    hand.look([pad(1)]);
    hand.letGo();
    hand.look([pad(1)]);
    expect(said).toEqual(['used', 1, 0]);
    hand.look([pad(0)]);
    hand.look([pad(1)]);
    hand.look([null]);
    expect(said.slice(3)).toEqual([1, 'none', 0]);
  });

  it('with another layout is not used, and that is said', () => {
    const { said, hand } = rig();
    hand.look([pad(1, true, '')]);
    expect(said).toEqual(['odd']);
    hand.look([pad(1, false, ''), pad(1)]);
    expect(said.slice(1)).toEqual(['used', 1]);
  });
});
