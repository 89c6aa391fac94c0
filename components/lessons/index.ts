/** All lessons, in the order in which they build on each other. */
import { DEAD_TIME } from './dead-time.ts';
import type { Lesson } from './lesson.ts';
import { POLARITY } from './polarity.ts';
import { REVERSAL } from './reversal.ts';
import { SHUNT } from './shunt.ts';
import { STALL_HEAT } from './stall-heat.ts';
import { START_KICK } from './start-kick.ts';

export const LESSONS: readonly Lesson[] = [START_KICK, POLARITY, DEAD_TIME, STALL_HEAT, REVERSAL, SHUNT];
