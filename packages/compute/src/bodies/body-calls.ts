import { type CalibrationBody, type Finding, parseCalibrationBody, parseJsonBody } from "@fellmark/network";
import { type CheckedNetwork, findDocumentSlips, type NetworkSlips, readNetwork } from "./read-network.ts";
import {
  type CheckedSubmission,
  findSubmissionSlips,
  type NamedNetwork,
  readSubmission,
  type SentSubmission,
  type SubmissionSlips,
} from "./read-submission.ts";

/** Calls about bodies of requests: name of the call -> [arguments, reply]. */
export interface BodyCalls {
  readNetwork: [Uint8Array, CheckedNetwork];
  findNetworkSlips: [NetworkSlips, Finding[]];
  readSubmission: [SentSubmission, CheckedSubmission | NamedNetwork];
  findSubmissionSlips: [SubmissionSlips, Finding[]];
  readCalibration: [Uint8Array, CalibrationBody];
}

/** The work on bodies, the same in the child and, where it takes no time, in the process that has the body. */
export const BODY_WORK: { [Name in keyof BodyCalls]: (sent: BodyCalls[Name][0]) => Promise<BodyCalls[Name][1]> } = {
  readNetwork,
  findNetworkSlips: async (sent) => findDocumentSlips(sent),
  readSubmission,
  findSubmissionSlips: async (sent) => findSubmissionSlips(sent),
  readCalibration: async (body) => parseCalibrationBody(parseJsonBody(body)),
};
