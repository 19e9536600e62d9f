import { photoSubjects } from './photos.ts';
import { SCAN_SUBJECTS } from './scans.ts';
import type { Subject } from './subject.ts';
import { TEXT_SUBJECTS } from './texts.ts';

/** Every reader of files that come from outside. */
export const SUBJECTS: readonly Subject[] = [...SCAN_SUBJECTS, ...(await photoSubjects()), ...TEXT_SUBJECTS];
