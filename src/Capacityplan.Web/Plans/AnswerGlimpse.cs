using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Plans;

/// <summary>An answer that charts may show before its words are there.</summary>
/// <param name="Result">The answer.</param>
/// <param name="IsWhole">True where nothing but words is still to come; false where it is coarse, and settles.</param>
public sealed record AnswerGlimpse(PlanResult Result, bool IsWhole);
