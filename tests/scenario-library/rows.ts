/** What users fear, row by row, and the scenarios that show it. COVERAGE.md is made from this table and from runs. */

export interface Row {
  /** U1 to U52. */ readonly need: string;
  readonly what: string;
  /** Below scenarios/. */ readonly files: readonly string[];
  /** What is not covered, and why; '' when the files cover the row. */ readonly open: string;
}

const row = (need: string, what: string, files: string, open = ''): Row => ({
  need,
  what,
  files: files === '' ? [] : files.split(' ').map((name) => `${name}.yaml`),
  open,
});

export const ROWS: readonly Row[] = [
  row(
    'U1',
    'start angle wrong by half an electrical turn',
    'start/rise-free start/rise-outward-low-gear start/gentle-press start/screw-half-in',
    'four rotor angles, not all of them: rates over angles are the task of a campaign',
  ),
  row('U2', 'kick at an aligned start', 'start/gentle-press start/rise-free'),
  row(
    'U3',
    'start under load fails',
    'start/screw-half-in start/screw-half-in-frost start/screw-half-in-hot start/cannot-turn sensing/start-with-noisy-currents',
    'success rates are the task of a campaign',
  ),
  row(
    'U4',
    'hand-over from low to high speed jerks',
    'start/through-the-hand-over',
    'the error of the angle is no signal of the drill: it shows as a dip of torque',
  ),
  row('U5', 'low speed, high torque', 'start/slow-and-strong start/slow-and-strong-hot start/gentle-press'),
  row(
    'U6',
    'false run: rotor locked, estimate goes on',
    'start/locked-while-running start/cannot-turn start/load-steps-no-alarm',
  ),
  row(
    'U7',
    'lock lost at a reversal',
    'reversal/screw-in-and-out reversal/worn-gearbox reversal/at-speed-trigger-held run-up-and-reverse seat-and-remove-screw',
  ),
  row(
    'U8',
    'direction thrown while spinning',
    'reversal/at-speed-trigger-held reversal/locked-at-speed reversal/locked-from-the-start controls/direction-flips-at-speed controls/direction-wire-breaks start/press-other-way-coasting',
  ),
  row('U9', 'restart on a spinning motor', 'start/press-again-coasting start/press-other-way-coasting'),
  row(
    'U10',
    'phases or sense lines swapped',
    'start/phases-swapped sensing/sense-lines-swapped sensors/halls-swapped',
    'without a rotor sensor two swapped motor wires are a motor that turns the other way: no current tells, only the test at the end of the line',
  ),
  row(
    'U11',
    'wrong constants of motor or gear in firmware',
    'start/wrong-motor-constant heavy-drill',
    'wrong pole pairs or gear ratios would be another build of the firmware: commissioning compares them with the drill',
  ),
  row(
    'U12',
    'resistance guess wrong when hot',
    'start/slow-and-strong-hot start/screw-half-in-hot start/screw-half-in-frost',
  ),
  row('U13', 'current offset drifts', 'sensing/offset-drifts'),
  row('U14', 'gains differ', 'sensing/gains-differ'),
  row(
    'U15',
    'no room to sample at high duty',
    'sensing/three-shunts-full-duty sensing/two-shunts-ab-full-duty sensing/two-shunts-bc-full-duty sensing/two-shunts-ac-full-duty',
  ),
  row(
    'U16',
    'one shunt in the link, windows missing',
    '',
    'the board of this drill has its shunts in the legs: a frame has no channel for one in the link',
  ),
  row('U17', 'dead-time distortion', 'sensing/dead-time-creep start/gentle-press'),
  row('U18', 'converter trigger late or with jitter', 'sensing/sampled-late sensing/noisy-currents'),
  row('U19', 'delay not made up for', 'sensing/top-speed-delay board/answers-late'),
  row(
    'U20',
    'voltage saturation, wind-up',
    'sensing/load-gone-in-saturation work/gear-jumps-out-at-full-load work/bit-breaks-in-steel work/through-the-board',
  ),
  row('U21', 'link reading wrong or stuck', 'sensing/link-frozen sensing/link-reads-low'),
  row(
    'U22',
    'channel stuck, swapped, reference off',
    'sensing/channel-frozen sensing/channel-at-its-end sensing/sense-lines-swapped sensing/reference-off',
  ),
  row('U23', 'link sags at a stall', 'supply/stall-on-a-cold-worn-pack supply/weak-cell-runs-down'),
  row(
    'U24',
    'controller resets when current rises',
    'supply/contact-chatters-under-load supply/reset-under-a-held-trigger supply/reset-under-a-half-held-trigger board/reset-under-load',
    'resets by electric noise are random: here they are injected',
  ),
  row(
    'U25',
    'start without a finger after a reset',
    'supply/reset-under-a-held-trigger supply/reset-under-a-half-held-trigger board/reset-under-load board/reset-trigger-half-held',
  ),
  row('U26', 'braking with the pack open', 'supply/pack-opens-while-slowing supply/pack-opens-while-reversing'),
  row('U27', 'brake by shorted phases', 'supply/release-at-full-speed'),
  row('U28', 'a switch open', 'bridge/high-switch-opens bridge/low-switch-opens'),
  row(
    'U29',
    'a switch shorted',
    'bridge/high-switch-shorts bridge/low-switch-shorts',
    'a trip within microseconds is made by a comparator on the board; the drill has none, so samples have to do',
  ),
  row('U30', 'gate supply low, bootstrap decays', 'bridge/gate-supply-sags bridge/held-at-full-duty'),
  row(
    'U31',
    'motor wire open or shorted',
    'bridge/motor-wire-breaks bridge/motor-wire-to-minus bridge/motor-wires-together bridge/bad-joint-in-a-phase',
  ),
  row(
    'U32',
    'demagnetization',
    'supply/release-at-full-speed bridge/high-switch-shorts board/no-frames-for-a-while board/output-frozen',
  ),
  row('U33', 'overheating in a stall', 'bridge/hot-stall start/cannot-turn sensors/stall-with-a-detached-thermistor'),
  row(
    'U34',
    'thermistor open, shorted, detached, slow',
    'sensors/motor-thermistor-opens sensors/bridge-thermistor-shorts sensors/stall-with-a-detached-thermistor sensors/stall-with-a-slow-thermistor',
  ),
  row(
    'U35',
    'trigger wiper open, shorted, noisy, worn',
    'controls/wiper-opens-low controls/wiper-opens-high controls/wiper-shorted-before-a-press controls/wiper-shorted-under-way controls/worn-trigger controls/contact-welded',
  ),
  row(
    'U36',
    'unexpected start',
    'supply/pack-put-in-trigger-held supply/reset-under-a-held-trigger supply/reset-under-a-half-held-trigger board/reset-under-load controls/contact-welded controls/wiper-shorted-before-a-press',
  ),
  row(
    'U37',
    'single component faults',
    'bridge/motor-wire-to-minus bridge/bad-joint-in-a-phase controls/direction-lines-shorted controls/direction-wire-breaks controls/wiper-opens-high wear/shorted-turns',
    'all opens and shorts of all terminals, one by one, are the task of a campaign over the catalog of faults',
  ),
  row('U38', 'Hall stuck or glitching', 'sensors/hall-sticks-low sensors/hall-sticks-high sensors/hall-glitches'),
  row('U39', 'Halls swapped or misplaced', 'sensors/halls-swapped sensors/hall-misplaced'),
  row(
    'U40',
    'hand-over from Halls to no sensor',
    '',
    'no built-in controller has both ways; a board that has them can play any file',
  ),
  row('U41', 'gear shifted under load, half engaged', 'work/shift-under-load work/gear-jumps-out-at-full-load neutral'),
  row(
    'U42',
    'clutch slips and ratchets',
    'work/clutch-hard-joint work/clutch-soft-joint work/worn-clutch clutch-lets-go sensorless-screw',
    'scatter over 25 rundowns is the task of a campaign',
  ),
  row(
    'U43',
    'screw: run-down, seating, strip',
    'work/screw-without-clutch reversal/screw-in-and-out seat-and-remove-screw seat-screw-short sensorless-screw',
    'no strip in a hundred is the task of a campaign',
  ),
  row(
    'U44',
    'bit breaks through or bites',
    'work/through-the-board work/bit-breaks-in-steel work/jam-in-the-hand steel-plate',
  ),
  row('U45', 'jam and kickback', 'work/jam-in-the-hand work/jam-in-the-hand-high-gear work/hard-starts-no-false-kick'),
  row(
    'U46',
    'vibration fools the kick detector',
    '',
    'there is no hammer and no vibration in this drill, and no built-in controller watches for a kick',
  ),
  row(
    'U47',
    'static torque for the handles',
    'work/stall-torque-low-gear work/stall-torque-high-gear grip-high-gear grip-low-gear',
    'four positions of the rotor and their spread are the task of a campaign',
  ),
  row(
    'U48',
    'self-test of the processor',
    'board/clock-fast board/output-frozen sensing/channel-frozen board/reset-under-load',
    'memory, registers, program counter and interrupts lie inside the processor: no frame reaches them',
  ),
  row(
    'U49',
    'limits of the pack',
    'supply/weak-cell-runs-down bridge/high-switch-shorts',
    'a hot pack takes minutes to come about, more than a run of this library lasts',
  ),
  row(
    'U50',
    'disturbances',
    'board/frames-corrupted board/reset-under-load sensing/noisy-currents',
    'immunity is measured on the tool in a laboratory: here only what gets through to readings and frames',
  ),
  row(
    'U51',
    'link faults between tool and board',
    'board/frames-lost board/no-frames-for-a-while board/frames-in-any-order board/frames-corrupted board/answers-late',
    'going safe without frames is the task of the watchdog of a board; a controller in process is not asked meanwhile and has none',
  ),
  row('U52', 'wear', 'wear/ten-years-old wear/dry-bearing wear/shorted-turns'),
];
