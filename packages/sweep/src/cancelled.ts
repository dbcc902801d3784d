import { FellmarkError } from "@fellmark/units";

/** The work was stopped because its caller asked for it. */
export class CancelledError extends FellmarkError {
  constructor() {
    super("cancelled", "the work was cancelled");
  }
}
