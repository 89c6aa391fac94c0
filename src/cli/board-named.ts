/** A board that a command names: where it is, the pack that it is shown, and what it says about itself. */
import { SetUpError } from '../links/errors.ts';
import { type LinkPlace, linkForms, linkPlace } from '../links/node-kinds.ts';
import type { Hello } from '../protocol/hello.ts';
import { readQuantity } from '../scenario/quantity.ts';

/** Reads the place of a board. Throws SetUpError that says what is allowed. */
export function boardPlace(command: string, text: string): LinkPlace {
  try {
    const place = linkPlace(text);
    if (place) return place;
  } catch (error) {
    throw new SetUpError(`${command} ${text}: ${(error as Error).message}`);
  }
  throw new SetUpError(`${command} ${text}: allowed are ${linkForms()}`);
}

/** Reads the link voltage of quiet frames. Throws SetUpError that says what is allowed. */
export function packVoltage_V(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const read = readQuantity(text, { units: ['V', 'mV'], range: [1, 100] });
  if (!read.ok) throw new SetUpError(`--pack ${read.why}`);
  return read.si;
}

/** The Hello of a board in a line. */
export function helloText(h: Hello): string {
  const watch = h.watch.length === 0 ? 'no watch values' : `watch ${h.watch.map(({ name }) => name).join(', ')}`;
  const halls = h.halls ? 'Halls' : 'no Halls';
  return (
    `${h.board} (uid ${h.uid}, firmware ${h.firmware}): ${h.pwm_Hz} Hz, ${h.updates} update${h.updates > 1 ? 's' : ''} a period, ` +
    `${h.bits} bits, shunts ${h.shunts}, ${halls}, ${watch}`
  );
}
