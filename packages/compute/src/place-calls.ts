import {
  type Answer,
  answerFromProfile,
  answerServiceability,
  type CalibrationReport,
  fitOwnCalibration,
  type InstallReport,
  installReport,
  type Serviceability,
} from "@fellmark/answers";
import { CAUTION } from "@fellmark/coverage";
import { MAX_MEASURED_LINKS } from "@fellmark/network";
import { renderProfilePng, renderProfileSvg } from "@fellmark/picture";
import { InputError } from "@fellmark/units";
import type { AnsweringNetworks, InputVersions, SourceMessage } from "./answering-networks.ts";
import { findPlaceWarnings } from "./area-shapes.ts";
import type {
  AnswerTask,
  CalibrationTask,
  DrawTask,
  InstallTask,
  PlaceTask,
  ServiceabilityTask,
} from "./place-tasks.ts";

/** A task as it goes to the child. */
export type Sent<Task> = Omit<Task, "source"> & { source: SourceMessage };

/** A reply that says what it rests on and what it is worth. */
type Signed<Reply> = Reply & { inputs: InputVersions; caution: string };

/** Calls about single places: name of the call -> [arguments, reply]. */
export interface PlaceCalls {
  answer: [AnswerTask, Answer];
  prepare: [Sent<PlaceTask>, null];
  serviceability: [Sent<ServiceabilityTask>, Signed<Serviceability>];
  install: [Sent<InstallTask>, Signed<InstallReport>];
  calibration: [Sent<CalibrationTask>, Signed<CalibrationReport>];
  draw: [DrawTask, string | Uint8Array];
}

type Answering = { [Name in keyof PlaceCalls]: (args: PlaceCalls[Name][0]) => Promise<PlaceCalls[Name][1]> };

/** The calls about places as the child answers them, from networks that are kept open. */
export function createPlaceCalls(networks: AnsweringNetworks): Answering {
  return {
    async answer({ request, at, terrainDir, profile, question }) {
      if (profile) return answerFromProfile(request, profile, at, question);
      if (at === null || terrainDir === undefined)
        throw new TypeError("an answer needs a place and terrain, or a profile");
      const { network } = await networks.open({ request }, terrainDir);
      const answer = await network.ask(at, question);
      return { ...answer, warnings: [...findPlaceWarnings(request, at), ...answer.warnings] };
    },

    async prepare({ source, terrainDir }) {
      await networks.open(source, terrainDir);
      return null;
    },

    async serviceability({ source, terrainDir, question }) {
      const { network, rates, inputs } = await networks.open(source, terrainDir);
      return signReply(await answerServiceability(network, rates, question), inputs);
    },

    async install({ source, terrainDir, installation }) {
      const { network, inputs } = await networks.open(source, terrainDir);
      return signReply(await installReport(network, installation), inputs);
    },

    async calibration({ source, terrainDir, rows, nowMs }) {
      const { network, measured, inputs } = await networks.open(source, terrainDir, "bare");
      const links = rows ?? measured;
      if (links.length === 0) throw new InputError([{ pointer: "/links", detail: "no link was measured" }]);
      if (links.length > MAX_MEASURED_LINKS) {
        const detail = `${links.length} subscribers were measured, too many at a time; send the links to learn from`;
        throw new InputError([{ pointer: "/links", detail, limit: MAX_MEASURED_LINKS }]);
      }
      return signReply(await fitOwnCalibration(network, links, nowMs), inputs);
    },

    draw: async ({ profile, format }) => (format === "svg" ? renderProfileSvg(profile) : renderProfilePng(profile)),
  };
}

function signReply<Reply extends object>(reply: Reply, inputs: InputVersions): Signed<Reply> {
  const stated = "inputs" in reply ? (reply.inputs as object) : {};
  return { ...reply, inputs: { ...stated, ...inputs }, caution: CAUTION };
}
