using System.Collections.Immutable;
using System.Globalization;
using Capacityplan.Core.Fitting;
using Capacityplan.Core.Graphs;
using Capacityplan.Core.Laws;
using Capacityplan.Core.Machines;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>What is doubtful about an answer, in plain sentences.</summary>
internal static class Doubts
{
    /// <summary>Past so many times the largest measured core count a forecast is little more than a bound.</summary>
    private const double FarPast = 4;

    /// <summary>Two descriptions of one job that differ by more are worth a word.</summary>
    private const double Disagreement = 0.15;

    /// <param name="plan">The plan.</param>
    /// <param name="forecast">The forecast.</param>
    /// <param name="scaling">What it rests on.</param>
    /// <param name="choice">The chosen machine.</param>
    /// <param name="catalogue">The machines to choose from.</param>
    /// <param name="currency">The currency offers were compared in.</param>
    public static ImmutableArray<Problem> Of(
        Plan plan, Forecast forecast, ScalingForecast scaling, MachineOutcome? choice, Catalogue catalogue, string? currency)
    {
        var problems = ImmutableArray.CreateBuilder<Problem>();
        if (!scaling.Groups.IsEmpty)
        {
            OfTimings(plan, scaling, problems);
            if (scaling is MeasuredScaling && forecast.Diagnostics is { } diagnostics)
                OfDiagnostics(diagnostics, problems);
        }
        else if (!plan.Timings.IsEmpty && scaling is not LeveredScaling)
            problems.Add(Note("All timings are on one core count, so work and span carry the forecast. A run on another core count would check them.", "job.timings"));

        if (scaling is StatedScaling)
        {
            problems.Add(Note(
                $"Work and span are taken as known to {Figures.Percent(StatedScaling.WorkScatter)} and {Figures.Percent(StatedScaling.SpanScatter)}, runs to differ by {Figures.Percent(forecast.RunToRunNoise)}. A few timings would replace these assumptions.",
                "job.workAndSpan"));
        }

        if (scaling is StructuredScaling structured)
            OfPhases(plan, structured, forecast, problems);
        if (plan.Graph is { } graph)
            OfGraph(plan, graph, scaling as GraphScaling, forecast, problems);

        if (choice?.TimesPastMeasured is > FarPast and { } past)
        {
            problems.Add(Warning(
                $"{choice.Machine.Name} is {Figures.TimesNumber(past)} times past the largest core count measured: knees that far on leave no trace in these timings. Measure nearer to it before buying.",
                "job.timings"));
        }

        if (plan.SecondThreadGain < HardwareThreads.LeastGain || plan.SecondThreadGain > HardwareThreads.MostGain)
        {
            problems.Add(Note(
                $"A second hardware thread is taken to add {Figures.Percent(plan.SecondThreadGain)} of a core; {Figures.Percent(HardwareThreads.LeastGain)} to {Figures.Percent(HardwareThreads.MostGain)} is usual.",
                "job.secondThreadGain"));
        }

        if (currency is not null)
            OfCurrencies(catalogue, currency, problems);
        return problems.ToImmutable();
    }

    private static void OfCurrencies(Catalogue catalogue, string currency, ImmutableArray<Problem>.Builder problems)
    {
        string[] others =
        [
            .. catalogue.Machines.SelectMany(machine => machine.Purchase).Select(purchase => purchase.Currency)
                .Where(code => code != currency).Distinct().Order(StringComparer.Ordinal),
        ];
        string[] left = [.. others.Where(code => catalogue.RateBetween(code, currency) is null)];
        if (left.Length > 0)
        {
            problems.Add(Warning(
                $"Prices are in {currency} and {string.Join(", ", left)}. Only those in {currency} are compared; enter the others in it, or a rate, to choose among all.",
                "machines"));
        }

        foreach (string code in others.Except(left))
        {
            CurrencyRate rate = catalogue.RateBetween(code, currency)!;
            problems.Add(Note(
                string.Create(CultureInfo.InvariantCulture, $"Prices in {code} are converted to {currency} at the rate of {CatalogueDraft.WriteDay(rate.TakenOn)}: 1 {rate.From} is {rate.Rate:0.######} {rate.To}. Check it before buying."),
                "rates"));
        }
    }

    /// <summary>What the answer for a whole night rests on.</summary>
    /// <param name="plan">The plan; it shares its night.</param>
    /// <param name="schedule">How the night runs on the machine named; null where none is.</param>
    public static Problem OfNight(Plan plan, NightSchedule? schedule)
    {
        SharedNight night = plan.SharedNight!;
        string jobs = $"The answer is for all {Figures.Count(night.After.Length)} jobs of the night, started together on one machine";
        string shared = !night.MayShareCores ? "one after another, with all cores each."
            : schedule?.SharesCores == true ? "sharing its cores where they need not wait for each other. Jobs side by side are taken not to disturb each other beyond the cores they take."
            : "one after another: sharing the cores would not end the night sooner.";
        return Note($"{jobs}, {shared} Heavy nights and growth are taken to come to all of them alike.", "job.night");
    }

    private static void OfPhases(Plan plan, StructuredScaling structured, Forecast forecast, ImmutableArray<Problem>.Builder problems)
    {
        problems.Add(Note(
            $"Phases are taken as stated: a serial one as known to {Figures.Percent(StructuredScaling.SerialScatter)}, units described by a distribution to {Figures.Percent(StructuredScaling.GuessedScatter)} and the longest of them to {Figures.Percent(StatedScaling.SpanScatter)}, measured units to less; runs are taken to differ by {Figures.Percent(forecast.RunToRunNoise)}. A few timings would replace these assumptions.",
            "job.structure"));
        if (plan.WorkAndSpan is not { } stated)
            return;
        bool apart = Apart(stated.WorkSeconds, structured.WorkSeconds) || Apart(stated.SpanSeconds, structured.SpanSeconds);
        string figures = $"the phases come to {Figures.Time(structured.WorkSeconds)} on one core with a span of {Figures.Time(structured.SpanSeconds)}, {Figures.Time(stated.WorkSeconds)} with {Figures.Time(stated.SpanSeconds)} is stated. The phases carry the forecast.";
        problems.Add(apart
            ? Warning($"Phases and stated work and span disagree: {figures}", "job.workAndSpan")
            : Note($"Phases and stated work and span agree: {figures}", "job.workAndSpan"));
    }

    private static void OfGraph(Plan plan, GraphJob graph, GraphScaling? alone, Forecast forecast, ImmutableArray<Problem>.Builder problems)
    {
        if (alone is not null)
        {
            problems.Add(Note(
                $"Durations of the task graph are taken as known to {Figures.Percent(StatedScaling.WorkScatter)}, those of the longest chains to {Figures.Percent(StructuredScaling.MeasuredSpanScatter)}; runs are taken to differ by {Figures.Percent(forecast.RunToRunNoise)}. A few timings would replace these assumptions.",
                "job.graph"));
        }

        if (plan.Structure is { } structure)
        {
            string figures = $"the tasks come to {Figures.Time(graph.WorkSeconds)} on one core, the phases to {Figures.Time(structure.WorkSeconds)}. The tasks carry the forecast.";
            problems.Add(Apart(graph.WorkSeconds, structure.WorkSeconds)
                ? Warning($"Task graph and phases disagree: {figures}", "job.structure")
                : Note($"Task graph and phases agree: {figures}", "job.structure"));
        }

        if (alone is null || plan.WorkAndSpan is not { } stated)
            return;
        string said = $"the tasks come to {Figures.Time(graph.WorkSeconds)} on one core with a span of {Figures.Time(graph.SpanSeconds)}, {Figures.Time(stated.WorkSeconds)} with {Figures.Time(stated.SpanSeconds)} is stated. The tasks carry the forecast.";
        problems.Add(Apart(stated.WorkSeconds, graph.WorkSeconds) || Apart(stated.SpanSeconds, graph.SpanSeconds)
            ? Warning($"Task graph and stated work and span disagree: {said}", "job.workAndSpan")
            : Note($"Task graph and stated work and span agree: {said}", "job.workAndSpan"));
    }

    private static bool Apart(double one, double other) => one == 0 || other == 0 ? one != other : Abs(Log(one / other)) > Disagreement;

    private static void OfTimings(Plan plan, ScalingForecast measured, ImmutableArray<Problem>.Builder problems)
    {
        if (measured is CalibratedScaling { Calibration: { } calibration })
        {
            bool fits = calibration.Fitness == CalibrationFitness.Agrees && Abs(Log(calibration.WorkFactor.Median)) <= Disagreement;
            string path = plan.Graph is null ? "job.structure" : "job.graph";
            problems.Add(fits ? Note(calibration.Statement, path) : Warning(calibration.Statement, path));
        }

        if (measured is MeasuredScaling or CalibratedScaling { Calibration.Share: 0 })
            problems.Add(Note("With timings alone the span is what the fit cannot make parallel, serial parts included.", "job.timings"));
        if (measured.Groups.Length == 2)
            problems.Add(Note("Two core counts give a wide band. A third, as large as you can run, narrows it most.", "job.timings"));
        if (plan.MeasuredOn.PhysicalCores is { } physical && measured.Groups[^1].Cores > physical)
        {
            problems.Add(Note(
                $"Runs past {physical} cores used second hardware threads, each taken as {Figures.Percent(plan.SecondThreadGain)} of a core.",
                "job.measuredOn"));
        }

        if (plan.Timings.Any(timing => timing.Size != 1))
            problems.Add(Note(measured.Growth is { } growth ? GrowthWords.Sentence(growth) : "Runs of other sizes are taken to grow in proportion to the input.", "job.timings"));
        TimingGroup first = measured.Groups[0];
        TimingGroup? superlinear = measured.Groups.Skip(1).FirstOrDefault(group =>
            Exp(first.LogMedian - group.LogMedian) > 1.05 * group.CoresWorth / first.CoresWorth);
        if (superlinear is not null)
        {
            problems.Add(Note(
                $"From {first.Cores} to {superlinear.Cores} cores the run is {Figures.Times(Exp(first.LogMedian - superlinear.LogMedian))} faster, more than the cores alone give: caches, as a rule. The points are kept.",
                "job.timings"));
        }

        if (plan.WorkAndSpan is { } stated)
        {
            string carries = measured is CalibratedScaling { Calibration.Share: > 0 } ? $"The {(plan.Graph is null ? "phases" : "tasks")}, matched to the timings, carry the forecast." : "The timings carry the forecast.";
            problems.Add(Apart(stated.WorkSeconds, measured.WorkSeconds)
                ? Warning(
                    $"Timings and stated work disagree: the fit finds {Figures.Time(measured.WorkSeconds)} on one core, {Figures.Time(stated.WorkSeconds)} is stated. {carries}",
                    "job.workAndSpan")
                : Note(
                    $"Timings and stated work agree: the fit finds {Figures.Time(measured.WorkSeconds)} on one core, {Figures.Time(stated.WorkSeconds)} is stated. {carries}",
                    "job.workAndSpan"));
        }
    }

    private static void OfDiagnostics(TimingDiagnostics diagnostics, ImmutableArray<Problem>.Builder problems)
    {
        if (diagnostics.SaturationSuspected)
        {
            problems.Add(Warning(
                $"A shared resource seems to saturate, a lock or memory as a rule: curves with such a knee explain the timings best, with {Figures.Percent(diagnostics.SaturationWeight)} of the weight.",
                "job.timings"));
        }

        foreach (CoreCountDiagnosis stray in diagnostics.CoreCounts.Where(one => one.IsStray))
        {
            problems.Add(Warning(
                $"The runs on {stray.Cores} cores stray {Figures.Percent(Abs(stray.OffTheCurve))} from what the others let expect; they are kept and count {Figures.Percent(stray.Trust)} of a usual core count. Measure them again.",
                "job.timings"));
        }
    }

    private static Problem Note(string message, string path) => new(ProblemSeverity.Note, message, Path: path);

    private static Problem Warning(string message, string path) => new(ProblemSeverity.Warning, message, Path: path);
}
