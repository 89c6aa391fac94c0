/** The run that the present one is compared with: kept from before a rewind, or gone through anew with something changed. */
import type { Archive } from './archive.ts';
import { heldBy } from './look.ts';
import type { Marks } from './marks.ts';
import type { GhostNews } from './past-api.ts';

export class Ghost {
  readonly archive: Archive;
  readonly marks: Marks;
  readonly title: string;
  progress = 1;
  why = '';
  /** Ends going through it, when that is under way. */ drop: () => void = () => {};

  constructor(archive: Archive, marks: Marks, title: string) {
    this.archive = archive;
    this.marks = marks;
    this.title = title;
  }

  news(): GhostNews {
    return { title: this.title, held: heldBy(this.archive), progress: this.progress, why: this.why };
  }
}
