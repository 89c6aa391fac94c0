/** All lessons, in the order in which they build on each other. */
import type { Lesson } from './lesson.ts';
import { POLARITY } from './polarity.ts';
import { START_KICK } from './start-kick.ts';

export const LESSONS: readonly Lesson[] = [START_KICK, POLARITY];
