/** Examinations of what is driven when nothing may be: warnings rather than faults where firmware may differ. */
import {
  type Drive,
  HALL_AGE_MOST,
  NOT_FITTED,
  SENSE_IN,
  SENSE_OUT,
  type Sense,
  STATE_BRAKING,
} from '../../protocol/frames.ts';
import { type Examination, type Finding, holds, judged, warning } from '../examination.ts';
import { hallFlags, topCount, triggerCounts } from '../pins.ts';
import type { Subject } from '../subject.ts';
import { legsText, pushesCurrent, statusName } from '../words.ts';

/** Ticks for which each case is held. */
const HELD = 60;
/** And its last ticks, in which nothing may be driven: a reading may count only once it has stood for some ticks. */
const JUDGED = 20;

export const released: Examination = {
  id: 'released',
  title: 'Nothing is driven without being asked',
  does: 'shows quiet pins: trigger released with the direction at In, Out, locked; trigger pulled with it locked',
  expects: 'all legs open, or a brake; never a duty that pushes current',
  matters: 'a tool that turns without its trigger',
  mend: 'set gates only while trigger and direction both ask; phantom_board clears the Drive before each tick; SIGNS.md',
  async run(subject) {
    const pulled = triggerCounts(subject.hello, 0.5);
    const cases: [string, Partial<Sense>][] = [
      ['trigger released, direction In', { flags: SENSE_IN }],
      ['trigger released, direction Out', { flags: SENSE_OUT }],
      ['trigger released, direction locked', {}],
      ['trigger pulled, direction locked', { trigger: pulled }],
    ];
    await subject.boot();
    const rest = subject.sense();
    const faults: string[] = [];
    let brakes = 0;
    for (const [what, change] of cases) {
      for (let k = 0; k < HELD; k++) {
        const drive = await subject.step({ ...change, flags: (change.flags ?? 0) | rest.flags });
        if (drive.gates !== 0 && drive.state === STATE_BRAKING && !pushesCurrent(drive)) brakes++;
        else if (drive.gates !== 0) {
          faults.push(`${what}: ${legsText(drive)}, ${statusName(drive)}`);
          break;
        }
      }
      subject.probe.forget();
    }
    const braked = brakes > 0 ? `; it braked in ${brakes} ticks` : '';
    return judged(faults, `${cases.length} cases of ${HELD} ticks, all legs open${braked}`);
  },
};

export const impossible: Examination = {
  id: 'impossible-counts',
  title: 'Counts that cannot be',
  does: 'pulls the trigger with currents, link, trigger, Halls at readings that no healthy sensor gives',
  expects: `all legs open after ${HELD - JUDGED} ticks at the latest`,
  matters: 'a cut wire or a dead converter; what a tool must do then its product standard says, and qualified people',
  mend: 'check each channel for its ends and for standing still; trip with PHANTOM_TRIP_SENSOR or _HALL; SIGNS.md',
  async run(subject) {
    const healthy = await press(subject, {});
    const driving = healthy.some(pushesCurrent);
    const found: string[] = [];
    for (const [what, change] of casesFor(subject)) {
      const tail = (await press(subject, change)).slice(-JUDGED);
      const drives = tail.find((drive) => drive.gates !== 0);
      if (drives) found.push(`${what}: ${legsText(drives)}, ${statusName(drives)}`);
    }
    const cases = casesFor(subject).length;
    const first = driving ? 'it drives with healthy counts' : 'it does not drive with healthy counts either';
    if (found.length > 0) return warning(`it still drives with ${found.join('; with ')}`);
    return safe(driving, `${first}; legs open in all ${cases} cases`);
  },
};

const safe = (driving: boolean, saw: string): Finding => (driving ? holds(saw) : warning(saw));

/** Boots, then pulls the trigger half way, as a hand does, with the direction at In and something on the pins. */
async function press(subject: Subject, change: Partial<Sense>): Promise<Drive[]> {
  await subject.boot();
  const drives: Drive[] = [];
  const rest = subject.sense();
  for (let k = 0; k < HELD; k++) {
    const flags = (change.flags ?? rest.flags) | SENSE_IN;
    const pulled = triggerCounts(subject.hello, 0.5);
    drives.push(await subject.step({ trigger: pulled, ...change, flags }));
    subject.probe.forget();
  }
  return drives;
}

function casesFor({ hello }: Subject): [string, Partial<Sense>][] {
  const top = topCount(hello);
  const currents = (count: number) =>
    Object.fromEntries([...hello.shunts].map((leg) => [`i${leg}`, count])) as Partial<Sense>;
  const halls: [string, Partial<Sense>][] = hello.halls
    ? [
        ['the Hall code 000', { flags: 0, hallAge: HALL_AGE_MOST }],
        ['the Hall code 111', { flags: hallFlags(7), hallAge: HALL_AGE_MOST }],
      ]
    : [];
  return [
    ['current channels at 0', currents(0)],
    ['current channels at their top', currents(top)],
    ['current channels not fitted', currents(NOT_FITTED)],
    ['the link at 0', { link: 0 }],
    ['the link at its top', { link: top }],
    ['the trigger at 0', { trigger: 0 }],
    ['the trigger beyond the converter', { trigger: NOT_FITTED }],
    ...halls,
  ];
}

export const clean: Examination = {
  id: 'clean',
  title: 'Nothing but frames',
  does: 'looks back at everything that the board has sent',
  expects: 'frames of the protocol and nothing else: no text, no damaged frames',
  matters: 'a message printed on the same stream cuts a Drive in two now and then, and nobody finds out why',
  mend: 'send text as a Note (phantom_board_note), or on another port; one writer only for the stream; PROTOCOL.md',
  async run({ probe }) {
    if (probe.dropped === '') return holds(`${probe.bytes} bytes in good frames`);
    const shown = probe.foreign.length > 0 ? `; the first: ${probe.foreign[0]}` : '';
    return judged([`pieces that are no frame: ${probe.dropped}${shown}`], '');
  },
};
