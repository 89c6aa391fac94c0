/** What a page may call about faults. A call is checked, becomes a deed, and takes effect where every deed does. */
import { FAULTS } from '../src/faults/catalogue.ts';
import { type FaultEntry, PLACES } from '../src/faults/entry.ts';
import { seenIn } from '../src/faults/seen.ts';
import { displayUnit, toDisplay } from '../src/units/convert.ts';
import type { FaultApi, FaultRow } from './fault-api.ts';
import { liveOrder } from './fault-ask.ts';
import type { FaultDeed } from './past-api.ts';

/** @param take lets a deed take effect; throws when it is not allowed */
export function faultCalls(take: (deed: FaultDeed) => void): FaultApi {
  let handles = 0;
  return {
    faultRows: () => Object.values(FAULTS).map(rowOf),
    armFault: (ask) => {
      const order = liveOrder(ask);
      take({ kind: 'fault', what: 'arm', handle: handles + 1, order });
      return ++handles;
    },
    fireFault: (handle) => take({ kind: 'fault', what: 'fire', handle }),
    clearFault: (handle) => take({ kind: 'fault', what: 'clear', handle }),
    clearFaults: () => take({ kind: 'fault', what: 'clear all' }),
  };
}

function rowOf(entry: FaultEntry): FaultRow {
  const { id, name, place, does, sight, source, needs, legs = false, size } = entry;
  const signals = { a: seenIn(entry, 'a'), b: seenIn(entry, 'b'), c: seenIn(entry, 'c') };
  const row = { id, name, place, placeText: PLACES[place], does, sight, source, needs, legs, signals };
  if (!size) return row;
  const { show, low, high, usual, doc } = size;
  const [lowest, highest, most] = [low, high, usual].map((value) => toDisplay(value, show));
  return {
    ...row,
    size: { unit: show, low: lowest, high: highest, usual: most, doc, factor: displayUnit(show).factor },
  };
}
