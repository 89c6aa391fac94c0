import type { Lesson, Phase } from './lesson.ts';

const FULL: Phase = {
  hands: { gear: 2, direction: 1, trigger: 1, wrist: 0 },
  pace: 0.5,
  until: { kind: 'above', channel: 'time', level: 0.8 },
};
const until = (time_s: number): Phase['until'] => ({ kind: 'above', channel: 'time', level: time_s });

/** Source: kinetic energy of the rotor and energy of a capacitor, mechanics and electrostatics. */
export const REVERSAL: Lesson = {
  id: 'reversal',
  title: 'Reversal and energy',
  about: 'A rotor at full speed carries joules. Turned back, it has to put them somewhere.',
  steps: [
    {
      title: 'Direction thrown: one that lets it run down',
      says: 'This controller opens all legs and waits. Friction takes the energy, and that takes its time.',
      controller: 'hall-six-step',
      phases: [FULL, { hands: { direction: -1 }, pace: 0.2, until: until(1.2) }],
      part: 'motor',
      lanes: [
        { name: 'Motor speed', channels: ['motorSpeed'] },
        { name: 'Current out of the pack', channels: ['packCurrent'] },
      ],
      show_s: 0.5,
      readings: [
        { words: 'Motor speed when it was thrown', channel: 'motorSpeed', take: 'last', phase: 0 },
        { words: 'Motor speed 0.4 s later', channel: 'motorSpeed', take: 'last' },
        { words: 'Least current out of the pack', channel: 'packCurrent', take: 'least' },
      ],
      ask: 'Where does the energy of the rotor go?',
      answers: [
        { text: 'Into the pack', look: 'Charging would be a current below zero. Does the lower picture go there?' },
        {
          text: 'Into friction and air',
          look: 'No current flows either way: what slows it down is bearings, iron, air and gears.',
          right: true,
        },
        { text: 'Into the switches', look: 'Look at the drill: all legs are open, and nothing flows through them.' },
      ],
    },
    {
      title: 'Direction thrown: one that brakes',
      says: 'This controller asks for torque the other way at once. The motor is now a generator.',
      controller: 'sensorless',
      phases: [FULL, { hands: { direction: -1 }, pace: 0.05, until: until(1.1) }],
      part: 'pack',
      lanes: [
        { name: 'Motor speed', channels: ['motorSpeed'] },
        { name: 'Current out of the pack', channels: ['packCurrent'] },
      ],
      show_s: 0.35,
      readings: [
        { words: 'Link before', channel: 'link', take: 'mean', phase: 0, last_s: 0.05 },
        { words: 'Highest link', channel: 'link', take: 'most' },
        { words: 'Least current out of the pack', channel: 'packCurrent', take: 'least' },
        { words: 'Motor speed at the end', channel: 'motorSpeed', take: 'last' },
      ],
      ask: 'When does current flow back into the pack?',
      answers: [
        {
          text: 'While the rotor slows down',
          look: 'The current is below zero until the speed is near zero; then it takes power again to run up the other way.',
          right: true,
        },
        {
          text: 'While it runs up the other way',
          look: 'Find where the speed crosses zero, and look at the sign of the current on either side.',
        },
        { text: 'All the time', look: 'Find where the lower picture crosses zero.' },
      ],
    },
    {
      title: 'The same, and the pack opens',
      says: 'The rotor carries some ten joules. The link capacitor takes a third of one before the switches break down.',
      controller: 'sensorless',
      phases: [FULL, { fault: { fault: 'pack-opens' }, hands: { direction: -1 }, pace: 0.05, until: until(1.0) }],
      part: 'pack',
      lanes: [
        { name: 'Link voltage', channels: ['link'] },
        { name: 'Motor speed', channels: ['motorSpeed'] },
      ],
      show_s: 0.25,
      readings: [
        { words: 'Link before', channel: 'link', take: 'mean', phase: 0, last_s: 0.05 },
        { words: 'Highest link', channel: 'link', take: 'most' },
        { words: 'Least current out of the pack', channel: 'packCurrent', take: 'least' },
        { words: 'Times that the switches broke down', channel: 'avalanches', take: 'last' },
      ],
      ask: 'The pack takes nothing. Why does the link not go on rising?',
      answers: [
        {
          text: 'The capacitor is large enough',
          look: 'It would be full in a few milliseconds. Look how long the link stays level.',
        },
        {
          text: 'The controller brakes no harder than its losses',
          look: 'It sees the link rise and lowers the torque until copper and iron take what the rotor gives.',
          right: true,
        },
        {
          text: 'The rotor has stopped',
          look: 'Look at the lower picture: it turns on for more than a tenth of a second.',
        },
      ],
    },
    {
      title: 'Hide the truth: through standstill',
      says: 'On its way back the rotor passes through zero speed, where it makes no voltage to be heard by.',
      controller: 'sensorless',
      phases: [FULL, { hands: { direction: -1 }, pace: 0.2, until: until(0.93) }, { pace: 0.01, until: until(0.97) }],
      part: 'motor',
      lanes: [{ name: 'Angle: true, and as the controller believes', channels: ['rotorAngle', 'angle estimate'] }],
      show_s: 0.04,
      readings: [
        { words: 'Motor speed at first', channel: 'motorSpeed', take: 'most' },
        { words: 'Motor speed at the end', channel: 'motorSpeed', take: 'last' },
      ],
      hidesTruth: true,
      ask: 'The dashed angle rises, rests, and falls. Did the controller lose the rotor on the way?',
      answers: [
        { text: 'Yes, where it rests', look: 'The solid line is shown now: it rests at the same place.' },
        { text: 'Yes, where it falls', look: 'The solid line is shown now: compare the slopes of both.' },
        {
          text: 'No',
          look: 'The solid line is shown now: where voltage is silent, small signals on top of the current take over.',
          right: true,
        },
      ],
    },
  ],
};
