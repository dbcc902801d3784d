import {
  lineByLineGasFile,
  rainFile,
  simplifiedGasFile,
  statisticalClutterFile,
  terminalClutterFile,
} from "./attenuation-files.ts";
import { checksFile } from "./checks-file.ts";
import type { DataFolder } from "./data-files.ts";
import { deltaBullingtonFile } from "./delta-bullington-file.ts";
import { eirpLimitsFile } from "./eirp-limits-file.ts";
import type { FileFormat } from "./format.ts";
import { directGeodesicFile, inverseGeodesicFile, utmFile } from "./geodesy-files.ts";
import { p452Profiles, p452Results } from "./p452-results.ts";
import { p1812Profiles, p1812Results, p1812Summary } from "./p1812-results.ts";
import { eirpExamplesFile, wifiRatesFile, wifiSensitivityFile } from "./radio-files.ts";
import type { Outcome } from "./report.ts";

const FORMATS: readonly FileFormat[] = [
  deltaBullingtonFile,
  checksFile,
  eirpExamplesFile,
  eirpLimitsFile,
  p452Results,
  p452Profiles,
  p1812Results,
  p1812Profiles,
  p1812Summary,
  terminalClutterFile,
  statisticalClutterFile,
  simplifiedGasFile,
  lineByLineGasFile,
  rainFile,
  inverseGeodesicFile,
  directGeodesicFile,
  utmFile,
  wifiRatesFile,
  wifiSensitivityFile,
];

/** Every row of a folder whose form is known, told by content and not by name; other files are named as not checked. */
export function* checkFolder(folder: DataFolder): Iterable<Outcome> {
  for (const file of folder.files) {
    const format = FORMATS.find((one) => one.recognises(file));
    if (format) yield* format.check(file, folder);
    else yield { file: file.path, quantity: "all", n: 1, reason: "the form of the file is not one that is checked" };
  }
}
