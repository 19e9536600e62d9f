import { IntakeError } from '../intake/types.ts';
import type { ViewName } from '../trace/types.ts';

/** A fault that lies in a further photograph of a piece, which its sentence names. */
export class ViewError extends IntakeError {
  readonly view: ViewName;
  constructor(view: ViewName, code: string, message: string) {
    super(code, `View ${view}: ${message}`);
    this.view = view;
  }
}
