using System.Collections.Immutable;
using static System.Math;

namespace Capacityplan.Core.Fitting;

/// <summary>A family, with a law of growth where runs of several input sizes are fitted, beside the others.</summary>
/// <param name="Best">Its best fit.</param>
/// <param name="Law">The law of growth; null without other sizes.</param>
/// <param name="Weight">Its share in the forecast.</param>
/// <param name="Aicc">Akaike's criterion for few points; null where there are too few.</param>
/// <param name="LeftOutError">Root mean square log-error at the largest core counts, forecast without them; null likewise.</param>
internal sealed record ModelFit(FamilyBest Best, SizeLaw? Law, double Weight, double? Aicc, double? LeftOutError)
{
    /// <summary>The families, largest weight first, each with the law of growth it has most weight with.</summary>
    public static ImmutableArray<FittedModel> Describe(IReadOnlyList<ModelFit> fits)
    {
        double? least = fits.Min(fit => fit.Aicc);
        return
        [
            .. fits.GroupBy(fit => fit.Best.Curve.Family).Select(same =>
            {
                ModelFit shown = same.MaxBy(fit => fit.Weight)!;
                FamilyCurve curve = shown.Best.Curve;
                IEnumerable<KeyValuePair<string, double>> parameters = same.Key.Named(Exp(shown.Best.Level), curve.Parameters);
                if (shown.Law is not null)
                    parameters = parameters.Append(new("sizeRestShare", curve.Growth.RestShare));
                if (shown.Law is { HasPower: true })
                    parameters = parameters.Append(new("sizePower", curve.Growth.Power));
                return new FittedModel(
                    same.Key.Name, same.Key.Formula, same.Sum(fit => fit.Weight), parameters.ToImmutableSortedDictionary(StringComparer.Ordinal))
                {
                    AiccAboveBest = same.Min(fit => fit.Aicc) - least,
                    LeftOutError = shown.LeftOutError,
                };
            }).OrderByDescending(model => model.Weight),
        ];
    }
}
