/** Every English word of the sheet that keeps and shares. */
export const KEEP_WORDS = {
  title: 'Keep and share',
  does: 'What you set up, as a link; what the drill did, as a file.',
  close: 'Close',
  link: 'Link to this set-up',
  linkDoes:
    'Drill, controller, hands, load, faults, pace and picked signals. It opens with the trigger released and every fault only armed.',
  copy: 'Copy link',
  copied: 'The link is copied.',
  notCopied: 'The browser does not let the page copy. The link is selected: copy it from here.',
  boardLeftOut: 'A board drives. The link names a built-in controller instead: whoever opens it joins a board by hand.',
  address: 'The link',
  badLink: (why: string) =>
    `The set-up in this link cannot be used: ${why}. The drill was set up as for a first visit instead.`,
  noController: (name: string, known: readonly string[]) =>
    `controller '${name}' is not known; known are ${known.join(', ')}`,
  noDrill: (name: string, known: readonly string[]) => `drill '${name}' is not known; known are ${known.join(', ')}`,
  noSignal: (name: string) => `signal '${name}' is not known`,
} as const;
