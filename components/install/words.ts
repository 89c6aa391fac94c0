/** Every English word about the page as a program: kept for use offline, renewed, reloaded. */
export const INSTALL_WORDS = {
  offline: 'Works offline.',
  notKept: (why: string) => `Not kept for use offline: ${why}`,
  newer: 'A newer version is ready.',
  take: 'Reload with it',
  takeDoes: 'The run ends; the set-up stays.',
  waits: 'Reloads when the drill stands.',
  waitsRecording: 'Reloads when the drill stands and the recording has ended.',
  notYet: 'Not yet',
  elsewhere: 'Another tab took a newer version. This page goes on with its own.',
  asBefore: 'Set up as before the reload',
  anew: 'Drill, controller, hands, load, faults and pace are as they were. The run began anew: nobody squeezes, and every fault is only armed.',
  boardLeftOut: 'A board drove before. Join it again under Who drives.',
  notAsBefore: 'Not set up as before the reload',
  badKept: (why: string) =>
    `What this tab kept cannot be used: ${why}. The drill was set up as for a first visit instead.`,
} as const;
