export { type IdleAcceptance, acceptIn, idleInAll } from "./acceptance.js";
export { certificateSize, certificateText } from "./certificate-text.js";
export type {
  Certificate,
  CertificateCase,
  CertificateDecision,
  CertificateGap,
  CertificateMultipliers,
  CertificatePair,
  CertificateSure,
  CertificateUnknown,
  Term,
} from "./certificate.js";
export { type Group, type GroupState, groupState, groupsOf, rangeText } from "./groups.js";
export {
  type Accepted,
  type Judged,
  type NameParts,
  type VerdictState,
  type Weakness,
  countsAgainst,
  nameOf,
  worstFirst,
} from "./judged.js";
export { restSentence } from "./rests-on.js";
export { type AnswerWords, type Summary, summarise } from "./summary.js";
