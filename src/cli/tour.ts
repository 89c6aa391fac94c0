/** The tour of a bring-up: one thing after the other, with what to look at. */
import { INPUTS, type Injection } from '../examine/injections.ts';
import { currentOf_A, linkOf_V, topCount } from '../examine/pins.ts';
import type { Sense } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import { readInjection } from './injection-text.ts';

export interface TourStop {
  readonly injections: readonly Injection[];
  /** What to look at; empty when the user chose. */ readonly look: string;
}

/** Current of the tour, and at most this share of what the board reads [A]. */
const CURRENT_A = 10;
const CURRENT_SHARE = 0.2;
/** Change of the link. */
const LINK_SHARE = 0.9;

/** The stops that this board can be shown. */
export function tourFor(hello: Hello, quiet: Sense): readonly TourStop[] {
  const amps = Math.min(CURRENT_A, CURRENT_SHARE * currentOf_A(hello, topCount(hello)));
  const a = Number(amps.toPrecision(2));
  const v = Number((LINK_SHARE * linkOf_V(hello, quiet.link)).toPrecision(3));
  const list: [text: string, look: string][] = [
    [`ia=${a}A`, `leg A alone shows +${a} A: the sign is positive into the motor, B and C stay at 0`],
    [`ia=-${a}A`, `leg A alone shows -${a} A`],
    [`ib=${a}A`, `leg B alone shows +${a} A: is the order of the legs right?`],
    [`ic=${a}A`, `leg C alone shows +${a} A`],
    [`link=${v}V`, `the link voltage reads ${v} V: is the divider right? No trip at a voltage that is allowed`],
    ['trigger=50%', 'the trigger reads half; with the direction locked all legs stay open'],
    ['direction=in', 'with the trigger released all legs stay open'],
    ['direction=out', 'the same; In and Out are told apart'],
    ['angle=60deg', 'Halls A and B read 1; the angle reads 30 to 90 degrees electrical'],
    ['angle=180deg', 'Halls B and C read 1; the angle reads 150 to 210: it rises with positive turning'],
    ['angle=300deg', 'Halls A and C read 1; the angle reads 270 to 330'],
    ['hall=none', 'no rotor gives this code: the board says so, at the latest when it is asked to drive'],
    ['bridge=60C', 'the switches read 60 °C, nothing trips'],
    ['motor=80C', 'the winding reads 80 °C, nothing trips'],
    ['gyro=1rad/s', 'the housing turns as a screw goes in: positive'],
  ];
  const stops = list.flatMap(([text, look]): TourStop[] => {
    const name = text.slice(0, text.indexOf('='));
    return INPUTS[name].missing(hello) === undefined
      ? [{ injections: [readInjection('--all', text, hello)], look }]
      : [];
  });
  return [{ injections: [], look: 'quiet pins: all legs open, no trip, currents and speed 0' }, ...stops];
}
