using System.Collections.Immutable;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
using Capacityplan.Web.Components.Charts;
using Capacityplan.Web.Components.Sheet;
using Capacityplan.Web.Plans;
using Microsoft.AspNetCore.Components;

namespace Capacityplan.Web.Components.Pages;

/// <summary>The plan sheet: one page, read downwards, from the job to the machine.</summary>
public sealed partial class PlanPage : IAsyncDisposable
{
    private static readonly Catalogue s_noMachines = new() { Name = "No catalogue", Machines = [] };

    private PlanSession? _session;
    private PlanSaver? _saver;
    private SimulationSession? _simulation;
    private OutlookSession? _outlook;
    private GraphSession? _graph;
    private NightSession? _night;
    private AnswerPartKind? _asked;
    private AnswerLine? _answer;
    private string? _missing;
    private Guid _shown;
    private ImmutableArray<StoredCatalogue> _catalogues = [];
    private StoredCatalogue? _pricedWith;
    private int _pricing;

    /// <summary>The plan's key.</summary>
    [Parameter]
    public Guid Id { get; set; }

    [Inject]
    private PlanStore Store { get; init; } = default!;

    [Inject]
    private CatalogueStore Catalogues { get; init; } = default!;

    [Inject]
    private TimeProvider Clock { get; init; } = default!;

    [Inject]
    private SimulationTurns Turns { get; init; } = default!;

    [Inject]
    private JobFileStore Files { get; init; } = default!;

    [Inject]
    private SimulationMemory Simulated { get; init; } = default!;

    [Inject]
    private OpenPlans OpenPlans { get; init; } = default!;

    [Inject]
    private ILogger<PlanSaver> SaverLog { get; init; } = default!;

    private DateOnly Today => DateOnly.FromDateTime(Clock.GetLocalNow().Date);

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        Catalogues.Changed -= OnCataloguesChanged;
        if (_outlook is not null)
            await _outlook.DisposeAsync();
        if (_simulation is not null)
            await _simulation.DisposeAsync();
        if (_graph is not null)
            await _graph.DisposeAsync();
        if (_night is not null)
            await _night.DisposeAsync();
        if (_session is not null)
            await _session.DisposeAsync();
        if (_saver is not null)
        {
            OpenPlans.Close(_saver);
            await _saver.DisposeAsync();
        }
    }

    /// <inheritdoc/>
    protected override async Task OnParametersSetAsync()
    {
        if (_shown == Id)
            return;
        _shown = Id;
        await DisposeAsync();
        (_session, _saver, _simulation, _graph, _night, _asked, _missing) = (null, null, null, null, null, null, null);

        StoredPlan? plan = await Store.FindAsync(Id);
        if (plan is not { Draft: { } draft })
        {
            _missing = plan is null ? "There is no such plan" : "This plan cannot be read; its text is kept as it is";
            return;
        }

        _catalogues = await Catalogues.ListAsync();
        _pricedWith = CatalogueOf(draft);
        _session = new PlanSession(draft, _pricedWith?.Catalogue ?? s_noMachines, Clock);
        Catalogues.Changed += OnCataloguesChanged;
        _saver = new PlanSaver(plan, Store, Clock, SaverLog);
        OpenPlans.Open(_saver);
        _outlook = new OutlookSession(Clock, OutlookSession.UsualRest);
        _simulation = new SimulationSession(Turns, Simulated, Clock, SimulationSession.UsualRest);
        _simulation.Refined += _session.TakeSimulated;
        _graph = new GraphSession(Files, Turns, Clock);
        _graph.Read += _session.TakeGraph;
        _graph.Refined += _session.TakeSimulated;
        _night = new NightSession(Store, Files, Id);
        _night.Read += _session.TakeNight;
        _session.Changed += OnSessionChanged;
        _session.Typed += OnTyped;
        _session.Start();
        _graph.Open(draft);
        _night.Open(draft);
    }

    private void OnTyped(PlanDraft typed)
    {
        _saver?.Take(typed, null);
        _night?.Open(typed);
        if (CatalogueOf(typed)?.Id != _pricedWith?.Id)
            OnCataloguesChanged();
    }

    private void OnCataloguesChanged() => _ = InvokeAsync(async () =>
    {
        try
        {
            await PriceAsync();
        }
        catch (Exception exception) when (exception is not OutOfMemoryException)
        {
            await DispatchExceptionAsync(exception);
        }
    });

    /// <summary>Answers from the catalogue the plan names as it is stored now, here or from another page.</summary>
    private async Task PriceAsync()
    {
        int turn = ++_pricing;
        PlanSession? session = _session;
        ImmutableArray<StoredCatalogue> catalogues = await Catalogues.ListAsync();
        if (turn != _pricing || session is null || session != _session)
            return;
        _catalogues = catalogues;
        (StoredCatalogue? before, _pricedWith) = (_pricedWith, CatalogueOf(session.Draft));
        if ((before?.Id, before?.Version) != (_pricedWith?.Id, _pricedWith?.Version))
            session.Price(_pricedWith?.Catalogue ?? s_noMachines);
        StateHasChanged();
    }

    private StoredCatalogue? CatalogueOf(PlanDraft draft) =>
        _catalogues.FirstOrDefault(catalogue => draft.CatalogueId is { } chosen ? catalogue.Id == chosen : catalogue.IsDefault);

    /// <summary>Dates the prices today; where somebody else saved them meanwhile, theirs are shown instead.</summary>
    private async Task ConfirmPricesAsync()
    {
        if (_pricedWith is not { Catalogue: { } catalogue } priced)
            return;
        DateOnly today = Today;
        await Catalogues.SaveAsync(
            priced.Id,
            catalogue with { PricesOf = today },
            priced.Draft is { } draft ? draft with { PricesOf = CatalogueDraft.WriteDay(today), KeptPricesOf = today } : null,
            priced.Version);
        await PriceAsync();
    }

    private void OnSessionChanged()
    {
        if (_session is not { } session || _saver is not { } saver)
            return;
        saver.Take(session.Draft, session is { Stage: AnswerStage.Done, Result: { } result }
            ? new StoredAnswer(result.Verdict.State, result.Verdict.Sentence)
            : null);
        // The answer is drawn first, before what follows from it is looked for.
        _ = InvokeAsync(StateHasChanged);
        // What cannot be understood leaves the last simulation standing, like the last answer.
        if (session is { Stage: AnswerStage.Done, Reading: { Plan: { } plan } reading })
        {
            _simulation?.Show(SimulatedOf(plan, reading, session.Result));
            _graph?.Show(plan.Graph, GraphCores.Of(reading, session.Result));
            if (session is { Result: { } answer, Scaling: { } scaling })
                _outlook?.Show(answer, scaling);
        }
    }

    private static SimulationOrder? SimulatedOf(Plan plan, PlanDraftReading reading, PlanResult? result)
    {
        if (plan.Structure is not { } structure)
            return null;
        (int Place, Phase Phase)[] parallel = [.. structure.Phases.Index().Where(phase => phase.Item is ParallelPhase)];
        int? split = reading.SplitPhase is { } asked && structure.Phases[Math.Min(asked, structure.Phases.Count) - 1] is ParallelPhase
            ? asked - 1
            : parallel.Length > 0 ? parallel.MaxBy(phase => phase.Phase.WorkSeconds).Place : null;
        return new SimulationOrder(structure, SimulatedPlace.Of(reading.SimulatedWorkers, result).Pool, split);
    }

    private void Ask(AnswerPartKind figure) => _asked = _asked == figure ? null : figure;

    /// <summary>Closes the working and gives the focus back to the figure it was asked for.</summary>
    private async Task CloseWorkingAsync()
    {
        AnswerPartKind? figure = _asked;
        _asked = null;
        if (figure is { } asked && _answer is { } answer)
            await answer.FocusAsync(asked);
    }
}
