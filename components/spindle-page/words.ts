/** What the shell of the page says, in one place. */
export const PANEL_LABELS = {
  drills: 'Drills',
  who: 'Who drives',
  faults: 'Faults',
  compare: 'Compare',
  waves: 'Waves',
  keep: 'Keep',
  runs: 'Runs',
  lesson: 'Lesson',
} as const;

export const SHELL_WORDS = {
  caution:
    'Signal-level model. It replaces converter readings and the timer, and proves nothing about the safety of a real tool.',
  flat: 'Drawing without the graphics card. Waves are the same, a little slower.',
  notStarted: 'The drill did not start',
  goOn: 'Go on',
  hint: 'Your turn: press and hold the trigger',
  hintKeys: [', or hold ', '. Esc stops everything.'],
  hintTouch: '. The Stop button stops everything.',
  slept: 'The page was asleep',
  sleptFor: (time_s: number) =>
    `The browser put it to sleep for ${time_s < 10 ? time_s.toFixed(1) : Math.round(time_s)}\u00a0s. Stop came first: all legs are open, and the next squeeze goes on.`,
  sleptBuiltIn:
    'Time that was not run is booked as lost and marked in the record. This run does not count as real time.',
  sleptBoard: 'The drill waited meanwhile. The board may have gone on by its own clock.',
  notValid: 'This run is not valid.',
  stands: 'Time stands. Hands may move; nothing happens until Run or a step.',
  life: 'One second of the drill takes one second.',
  slower: (times: number) => `One second of the drill takes ${times} s.`,
  letters: (on: boolean) => `Letter keys ${on ? 'on' : 'off'}`,
  record: 'Record',
  recordDoes: 'what happened',
  now: 'Now',
  demonstration: 'opening demonstration',
  ahead: 'Ahead',
  aheadDoes: 'still to come',
} as const;
