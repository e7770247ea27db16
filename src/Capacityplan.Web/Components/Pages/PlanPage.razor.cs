using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;
using Capacityplan.Storage;
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
    private AnswerPartKind? _asked;
    private AnswerLine? _answer;
    private string? _missing;
    private Guid _shown;

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
    private ILogger<PlanSaver> SaverLog { get; init; } = default!;

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        if (_session is not null)
            await _session.DisposeAsync();
        if (_saver is not null)
            await _saver.DisposeAsync();
    }

    /// <inheritdoc/>
    protected override async Task OnParametersSetAsync()
    {
        if (_shown == Id)
            return;
        _shown = Id;
        await DisposeAsync();
        (_session, _saver, _asked, _missing) = (null, null, null, null);

        StoredPlan? plan = await Store.FindAsync(Id);
        if (plan is not { Draft: { } draft })
        {
            _missing = plan is null ? "There is no such plan" : "This plan cannot be read; its text is kept as it is";
            return;
        }

        StoredCatalogue? catalogue = draft.CatalogueId is { } chosen ? await Catalogues.FindAsync(chosen) : await Catalogues.GetDefaultAsync();
        _session = new PlanSession(draft, catalogue?.Catalogue ?? s_noMachines, Clock);
        _saver = new PlanSaver(plan, Store, Clock, SaverLog);
        _session.Changed += OnSessionChanged;
        _session.Typed += typed => _saver?.Take(typed, null);
        _session.Start();
    }

    private void OnSessionChanged()
    {
        if (_session is not { } session || _saver is not { } saver)
            return;
        saver.Take(session.Draft, session is { Stage: AnswerStage.Done, Result: { } result }
            ? new StoredAnswer(result.Verdict.State, result.Verdict.Sentence)
            : null);
        _ = InvokeAsync(StateHasChanged);
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
