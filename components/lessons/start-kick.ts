import { fromDisplay } from '../../src/units/convert.ts';
import type { Lesson } from './lesson.ts';

/** Source: conservation of angular momentum; play of the gearbox and strength of the hand are those of the drill, illustrative. */
export const START_KICK: Lesson = {
  id: 'start-kick',
  title: 'The start and its kick',
  about: 'What a hand feels when a drill starts, and when it hits something hard.',
  steps: [
    {
      title: 'A full press, nothing in the chuck',
      says: 'Whatever begins to turn inside a drill pushes the tool the other way.',
      controller: 'hall-six-step',
      phases: [
        {
          hands: { gear: 2, direction: 1, trigger: 1 },
          pace: 0.01,
          until: { kind: 'rises through', channel: 'chuckSpeed', level: fromDisplay(600, 'rpm') },
        },
      ],
      part: 'chuck',
      lanes: [
        { name: 'Torque on the chuck', channels: ['gearTorque'] },
        { name: 'Angle of the tool in the hand', channels: ['bodyAngle'] },
      ],
      show_s: 0.03,
      readings: [
        { words: 'Greatest torque on the chuck', channel: 'gearTorque', take: 'most' },
        { words: 'Farthest turn of the tool', channel: 'bodyAngle', take: 'least' },
      ],
      ask: 'The chuck turns in. Which way does the tool turn in the hand?',
      answers: [
        { text: 'With the chuck', look: 'Look at the sign of the lower trace: the chuck counts positive inward.' },
        {
          text: 'Against the chuck',
          look: 'The lower trace goes below zero while the upper one is above it.',
          right: true,
        },
        { text: 'Not at all', look: 'Look at the scale of the lower trace: small is not nothing.' },
      ],
    },
    {
      title: 'The same press, and the chuck is caught',
      says: 'A rotor at speed carries energy. When the chuck is caught, the hand gets it.',
      controller: 'hall-six-step',
      phases: [
        {
          hands: { gear: 2, direction: 1, trigger: 1, meets: 2 },
          pace: 0.05,
          until: { kind: 'above', channel: 'time', level: 0.2 },
        },
      ],
      part: 'chuck',
      lanes: [
        { name: 'Torque on the chuck', channels: ['gearTorque'] },
        { name: 'Torque of the hand', channels: ['wristTorque'] },
        { name: 'Angle of the tool in the hand', channels: ['bodyAngle'] },
      ],
      show_s: 0.2,
      readings: [
        { words: 'Greatest torque on the chuck', channel: 'gearTorque', take: 'most' },
        { words: 'Greatest torque of the hand', channel: 'wristTorque', take: 'most' },
        { words: 'Farthest turn of the tool', channel: 'bodyAngle', take: 'least' },
      ],
      ask: 'The gears carry more than the hand ever holds. Where does the rest go?',
      answers: [
        {
          text: 'It is lost in friction',
          look: 'Compare when the two torques are greatest: one lasts for some milliseconds.',
        },
        {
          text: 'The hand holds it later',
          look: 'Look how far the hand gets after the first blow: it never reaches the peak of the gears.',
        },
        {
          text: 'It sets the tool turning',
          look: 'The blow is short: the tool takes it up as speed, and the hand stops it over a longer way.',
          right: true,
        },
      ],
    },
    {
      title: 'In low gear',
      says: 'Low gear multiplies the torque. The same stall now asks more than the hand can hold.',
      controller: 'hall-six-step',
      phases: [
        {
          hands: { gear: 1, direction: 1, trigger: 1, meets: 2 },
          pace: 0.05,
          until: { kind: 'above', channel: 'time', level: 0.3 },
        },
      ],
      part: 'chuck',
      lanes: [
        { name: 'Torque on the chuck', channels: ['gearTorque'] },
        { name: 'Torque of the hand', channels: ['wristTorque'] },
        { name: 'Angle of the tool in the hand', channels: ['bodyAngle'] },
      ],
      show_s: 0.3,
      readings: [
        { words: 'Greatest torque of the hand', channel: 'wristTorque', take: 'most' },
        { words: 'Farthest turn of the tool', channel: 'bodyAngle', take: 'least' },
      ],
      ask: 'Why is the trace of the hand cut off at the top?',
      answers: [
        { text: 'The motor gives no more', look: 'Look at the torque on the chuck at the same moment: it is higher.' },
        {
          text: 'The hand gives way',
          look: 'At the torque that this wrist holds, the tool slips through it and goes on turning.',
          right: true,
        },
        {
          text: 'The record is too coarse',
          look: 'The record keeps every period of 50 microseconds; look at the trace of the chuck beside it.',
        },
      ],
    },
    {
      title: 'A start without rotor sensor',
      says: 'This controller first asks the motor where its rotor is, in pulses too short to move it.',
      controller: 'sensorless',
      phases: [
        {
          hands: { gear: 2, direction: 1, trigger: 0.3 },
          pace: 0.01,
          until: { kind: 'rises through', channel: 'controllerState', level: 1.5 },
          untilWords: 'the controller begins to drive',
        },
        { pace: 0.05, until: { kind: 'rises through', channel: 'chuckSpeed', level: fromDisplay(200, 'rpm') } },
      ],
      part: 'motor',
      lanes: [
        { name: 'Phase currents', channels: ['currentA', 'currentB', 'currentC'] },
        { name: 'Angle of the chuck', channels: ['chuckAngle'] },
      ],
      show_s: 0.05,
      readings: [
        { words: 'Greatest torque of a pulse', channel: 'airGapTorque', take: 'most', phase: 0 },
        { words: 'Mean torque of all pulses', channel: 'airGapTorque', take: 'mean', phase: 0 },
        { words: 'Farthest turn backward', channel: 'chuckAngle', take: 'least', phase: 0 },
      ],
      ask: 'The pulses make torque. Why does the chuck not kick?',
      answers: [
        {
          text: 'The current is too small',
          look: 'Look at the upper trace: the pulses are as large as the current of hard work.',
        },
        {
          text: 'They cancel before anything moves',
          look: 'Each pulse goes up and down again and the next one points elsewhere: the mean torque is next to nothing.',
          right: true,
        },
        {
          text: 'The gearbox holds it back',
          look: 'Look at the mean torque: friction and play of the gears have nothing to hold.',
        },
      ],
    },
    {
      title: 'Hide the truth: is it there yet?',
      says: 'A real board cannot see its rotor. Judge the start by what the controller says.',
      controller: 'sensorless',
      phases: [
        {
          hands: { gear: 2, direction: 1, trigger: 0.3 },
          pace: 0.01,
          until: { kind: 'above', channel: 'time', level: 0.05 },
        },
      ],
      part: 'motor',
      lanes: [{ name: 'Angle: true, and as the controller believes', channels: ['rotorAngle', 'angle estimate'] }],
      show_s: 0.025,
      readings: [
        { words: 'Speed of the motor', channel: 'motorSpeed', take: 'last' },
        { words: 'Angle of the chuck', channel: 'chuckAngle', take: 'last' },
      ],
      hidesTruth: true,
      ask: 'The dashed angle rises ever more steeply. What does the rotor do?',
      answers: [
        {
          text: 'It turns, faster and faster',
          look: 'The solid line is shown now: it lies on the dashed one.',
          right: true,
        },
        { text: 'It stands, the estimate runs away', look: 'The solid line is shown now: see whether it stands.' },
        { text: 'It turns backward', look: 'The solid line is shown now: follow its slope.' },
      ],
    },
  ],
};
